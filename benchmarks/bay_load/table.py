"""The measurements as a table, and what they were made on."""

import os
import statistics
from pathlib import Path

from store_load import machine

from bay_load.load import Measured

DOCS = Path(__file__).resolve().parents[2] / "docs" / "bay.md"
BEGIN, END = "<!-- load: begin -->", "<!-- load: end -->"
ENTRY_P99_MS, PAGE_P99_MS = 150.0, 100.0


def cut(found: list[float], percent: int) -> float:
    """Return a percentile."""
    if len(found) < 2:
        return found[0] if found else float("nan")
    return statistics.quantiles(found, n=100, method="inclusive")[percent - 1]


def row(what: str, found: list[float]) -> str:
    """Return one line."""
    return f"| {what} | {cut(found, 50):.0f} | {cut(found, 99):.0f} | {max(found, default=float('nan')):.0f} | {len(found)} |"


def table(phases: dict[str, Measured]) -> str:
    """Return all measurements."""
    lines = ["| what | p50 ms | p99 ms | longest ms | n |", "|---|---:|---:|---:|---:|"]
    for phase, found in phases.items():
        every = [one for times in found.pages.values() for one in times]
        lines.append(row(f"**{phase}**: an entry, until it is on the disk", found.entries))
        lines.append(row("all pages that somebody opens", every))
        lines += [row(f"… {what}", times) for what, times in sorted(found.pages.items())]
        lines.append(row("pages that load themselves anew after an entry", found.refreshes))
        lines.append(
            row("from sending an entry to its news at the other device, which gathers 80 ms", found.heard)
        )
    return "\n".join(lines)


def missed(phases: dict[str, Measured]) -> list[str]:
    """Return the aims that were missed, in sentences."""
    found = []
    for phase, one in phases.items():
        pages = [ms for times in one.pages.values() for ms in times]
        for what, times, aim in (("entries", one.entries, ENTRY_P99_MS), ("pages", pages, PAGE_P99_MS)):
            if cut(times, 99) > aim:
                found.append(f"{phase}: p99 of {what} is {cut(times, 99):.0f} ms, the aim {aim:.0f} ms")
        if one.wrong:
            found.append(f"{phase}: {len(one.wrong)} answers were wrong, the first {one.wrong[0]}")
    return found


def circumstances(
    store: str, server: float, devices: float, yardstick: list[float], before: float, *, first: bool
) -> str:
    """Say what else has to be known."""
    order = "ahead of it (highest priority)" if first else "beside it, with no priority"
    return (
        f"{store}; {machine()}. Other work on this machine had a load average of {before:.1f} when the run began; server "
        f"and devices ran {order}. The server took {server:.0f} % of one core, the devices, on the same two cores, "
        f"{devices:.0f} %. A piece of work of 5 ms, done ten times a second meanwhile, took {cut(yardstick, 50):.0f} ms "
        f"(p50) and {cut(yardstick, 99):.0f} ms (p99): what goes beyond 5 ms the machine did not give to anybody."
    )


def into_docs(said: str, text: str) -> None:
    """Write the table into the page."""
    page = DOCS.read_text("utf-8")
    before, _, rest = page.partition(BEGIN)
    after = rest.partition(END)[2]
    DOCS.write_text(f"{before}{BEGIN}\n{said}\n\n{text}\n{END}{after}", "utf-8")


def cpu_s(pid: int) -> float:
    """Return how long a process and its threads have worked."""
    fields = Path(f"/proc/{pid}/stat").read_text("ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
