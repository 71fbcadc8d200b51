"""A proof on the terminal: the sentence, both drives as bars, what to do next."""

from collections.abc import Iterator

from rich.console import Console
from rich.table import Table
from rich.text import Text

from coldsoak.cli._lines import indented
from coldsoak.prove.proof import Driven, Proof, SoakPair, Stretch
from coldsoak.prove.words import percent, span, times

STYLES = {"proven": "bold green", "not_proven": "bold yellow", "back": "bold red"}
WIDTH = 56
THERE, ELSEWHERE, EPISODE = "█", "░", "▲"


def show(proof: Proof) -> None:
    """Print one proof."""
    console = Console(highlight=False, soft_wrap=False)
    console.print(
        Text(
            f"{proof.channel}: {', '.join(proof.before.files)} against {', '.join(proof.after.files)}",
            style="dim",
        )
    )
    console.print(Text(proof.sentence, style=STYLES[proof.verdict]))
    console.print()
    for line in bars(proof) if proof.soak is None or proof.fault != "standing" else ruler(proof.soak):
        console.print(Text(f"  {line}"), overflow="crop", no_wrap=True)
    if proof.fault == "comes_and_goes":
        indented(console, _legend(proof), style="dim")
    console.print()
    console.print(Text.assemble(("Next: ", "bold"), proof.next_step))
    for trouble in proof.new_troubles:
        console.print(Text.assemble(("New: ", "bold red"), f"{trouble.channel} {trouble.sentence}"))
    console.print()
    table = Table(box=None, padding=(0, 1), show_header=False, pad_edge=False)
    table.add_column(no_wrap=True, width=9)
    table.add_column(ratio=1)
    for word, said in _facts(proof):
        table.add_row(word, said)
    console.print(table)
    if proof.road_test:
        console.print()
        console.print(Text("Road test", style="bold"))
        for number, step in enumerate(proof.road_test, start=1):
            indented(console, f"{number}. {step}")
    console.print()
    console.print(Text("Cautions", style="bold"))
    for caution in proof.cautions[:-1]:
        indented(console, caution)
    indented(console, proof.cautions[-1], style="italic")


def ruler(soak: SoakPair) -> list[str]:
    """Return how far the channel was off after cold soaks, on one scale: before, after, and the band of agreement."""
    found = [*((soak.before_k,) if soak.before_k is not None else ()), *soak.after_k]
    reach_k = 1.2 * max(soak.tolerance_k, *(abs(off) for off in found))
    middle = WIDTH // 2

    def at(off_k: float) -> int:
        return int(middle + round(off_k / reach_k * middle))

    scale = [
        THERE if abs(n - middle) <= at(soak.tolerance_k) - middle else ELSEWHERE
        for n in range(2 * middle + 1)
    ]
    lines = [f"{'':<7} {''.join(scale)}"]
    for word, offs in (("before", found[: len(found) - len(soak.after_k)]), ("after", list(soak.after_k))):
        row = [" "] * (2 * middle + 1)
        for off in offs:
            row[at(off)] = EPISODE
        lines.append(f"{word:<7} {''.join(row).rstrip() if offs else 'no cold soak logged'}")
    return [
        *lines,
        f"{'':<7} {THERE} sensors of a cold vehicle agree within {soak.tolerance_k:g} °C; left is low",
    ]


def bars(proof: Proof) -> list[str]:
    """Return both drives as bars on one scale of time, with a mark under each episode."""
    sides = (("before", proof.timeline_before, proof.before), ("after", proof.timeline_after, proof.after))
    longest_s = max((t[-1].end_s for _, t, _ in sides if t), default=1.0)
    lines = []
    for word, stretches, side in sides:
        if not stretches:
            continue
        lines.append(f"{word:<7}│{_bar(stretches, longest_s)} {span(stretches[-1].end_s)}")
        lines.append(f"{'':<7}│{_marks(side, longest_s)}")
    return lines


def _bar(stretches: tuple[Stretch, ...], longest_s: float) -> str:
    cells = max(round(WIDTH * stretches[-1].end_s / longest_s), 1)
    bar = ""
    for cell in range(cells):
        middle_s = (cell + 0.5) / cells * stretches[-1].end_s
        there = next((s.there for s in stretches if s.start_s <= middle_s < s.end_s), False)
        bar += THERE if there else ELSEWHERE
    return bar


def _marks(side: Driven, longest_s: float) -> str:
    row = [" "] * WIDTH
    for event in side.events:
        row[min(int(WIDTH * event.at_s / longest_s), WIDTH - 1)] = EPISODE
    return "".join(row).rstrip() or "no episode"


def _legend(proof: Proof) -> str:
    where = f"where it used to fail: {proof.where_words}" if proof.where_words else "counted"
    return f"{THERE} {where}   {ELSEWHERE} does not count   {EPISODE} episode"


def _facts(proof: Proof) -> Iterator[tuple[str, Text]]:
    for word, side in (("BEFORE", proof.before), ("AFTER", proof.after)):
        parts = [times(side.episodes), f"{span(side.exposure_s)} that count of {span(side.logged_s)} logged"]
        if side.distance_km is not None:
            parts.append(f"{side.distance_km:.0f} km")
        if side.warm_ups is not None:
            parts.append(times(side.warm_ups, "warm-up"))
        yield word, Text(", ".join(parts))
    found = proof.evidence
    if found is not None and found.conditional_p is not None and found.rate_after_upper_per_h is not None:
        yield (
            "COUNT",
            Text(
                f"{found.rate_before_per_h:.1f} an hour before (95 %: {found.rate_before_low_per_h:.1f} to "
                f"{found.rate_before_high_per_h:.1f}), at most {found.rate_after_upper_per_h:.1f} after; chance alone puts so "
                f"few after the repair in {percent(found.conditional_p)}",
                style="dim",
            ),
        )
    if proof.fault != "none":
        habit = (
            "fails as often as before"
            if proof.fault == "comes_and_goes"
            else "is there as much of the time as before"
            if proof.episodes_before
            else "is as far off as before"
        )
        yield (
            "TAKEN",
            Text(
                f"{100 * proof.assumptions.prior:g} % that a repair does not cure; proven at {100 * proof.assumptions.limit:g} "
                f"%; a fault that is still there {habit}",
                style="dim",
            ),
        )
    if proof.codes.sentences:
        yield "CODES", Text("; ".join(proof.codes.sentences) + ".")
    for note in proof.notes:
        yield "NOTE", Text(note)
