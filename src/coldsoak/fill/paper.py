"""The fill sheet: a fill plan as a PDF to print, to read under the vehicle and to write on."""

import json
from dataclasses import asdict, dataclass
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from coldsoak.errors import MissingExtraError
from coldsoak.fill.drawing import level_drawing
from coldsoak.fill.ledger import Line
from coldsoak.fill.value import FillPlan
from coldsoak.fill.words import degree_span, degrees, litre_band, litres, percent, span_s

Paper = Literal["a4", "us-letter"]
ROWS_TO_WRITE_ON = 4


@dataclass(frozen=True)
class FillPaper:
    """Everything that the template may use."""

    title: str
    short: str
    paper: str
    sentence: str
    next: str
    fluid: str
    bottles: str | None
    amounts: tuple[tuple[str, str], ...]
    ledger: tuple[tuple[str, str, str], ...]
    ledger_title: str
    open_rows: int
    window: tuple[str, ...]
    reasons: tuple[str, ...]
    mind: tuple[str, ...]
    plug: str | None
    streams: tuple[tuple[str, str, str], ...]
    at_plug: tuple[str, ...]
    notes: tuple[str, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]
    closing: str

    def to_json(self) -> str:
        """Return it as the template reads it."""
        return json.dumps(asdict(self), ensure_ascii=False)


def fill_sheet_pdf(plan: FillPlan, paper: Paper = "a4") -> bytes:
    """Return the fill sheet of a plan as PDF; the same plan gives the same bytes."""
    try:
        import typst  # noqa: PLC0415 (only where something is printed)
    except ImportError as problem:
        raise MissingExtraError(
            "the print library is not installed: run `pip install typst`, then the same command again."
        ) from problem
    with TemporaryDirectory() as place:
        folder = Path(place)
        template = files("coldsoak.fill").joinpath("paper.typ").read_text("utf-8")
        (folder / "main.typ").write_text(template, encoding="utf-8")
        (folder / "plan.json").write_text(fill_paper(plan, paper).to_json(), encoding="utf-8")
        (folder / "level.svg").write_text(level_drawing(plan.picture), encoding="utf-8")
        made = typst.compile(folder / "main.typ", root=folder, ignore_system_fonts=True, timestamp=0)
    return bytes(made) if isinstance(made, bytes | bytearray) else b""


def fill_paper(plan: FillPlan, paper: Paper = "a4") -> FillPaper:
    """Return what the paper shows of a plan."""
    done, first, plug = plan.balance, plan.quarts_first, plan.plug
    before = "before the start" if done.start.below_mm is not None else "first"
    old = plan.exchange.old_share
    return FillPaper(
        title=f"Fill sheet: {plan.unit}",
        short=plan.unit,
        paper=paper,
        sentence=plan.sentence,
        next=plan.next,
        fluid=plan.specification,
        bottles=None if plan.bottles is None else _bottles(plan),
        amounts=(
            ("missing", litre_band(done.missing_l, quarts_first=first)),
            (before, litres(done.pour_l, quarts_first=first)),
            ("then, in steps", litre_band(done.rest_l, quarts_first=first)),
            ("have at hand", litres(done.at_hand_l, quarts_first=first)),
            ("still inside", litre_band(done.inside_l, quarts_first=first)),
            ("old fluid that stays", f"{percent(old.likely)} ({percent(old.low)} to {percent(old.high)})"),
        ),
        ledger=tuple(_row(one, quarts_first=first) for one in (*done.out, *done.gone_in)),
        ledger_title=f"Fluid, as out of the bottle at {degrees(done.bottle_c)}",
        open_rows=ROWS_TO_WRITE_ON,
        window=tuple(_sentence(line) for line in _window(plan)),
        reasons=tuple(_sentence(line) for line in done.start.reasons),
        mind=tuple(_sentence(line) for line in (*done.start.warnings, *done.findings)),
        plug=plug.plug if plug is not None else None,
        streams=tuple(
            (
                litres(one.excess_l, quarts_first=first),
                span_s(one.seconds.likely),
                " to ".join(dict.fromkeys((span_s(one.seconds.low), span_s(one.seconds.high)))),
            )
            for one in (plug.streams if plug is not None else ())
        ),
        at_plug=(plug.runs, plug.nothing, plug.longer, plug.close, plug.recheck) if plug is not None else (),
        notes=tuple(_sentence(line) for line in plan.level_notes),
        assumed=tuple(_sentence(line) for line in done.assumptions),
        cautions=plan.cautions[:-1],
        closing=plan.cautions[-1],
    )


def _row(one: Line, *, quarts_first: bool) -> tuple[str, str, str]:
    way = "out" if one.entry.way == "out" else "in"
    return (
        f"{way}: {one.label}",
        litres(one.poured_l, quarts_first=quarts_first),
        f"± {1.96 * one.uncertainty_l:.2f} L; {one.as_measured}, {one.method}",
    )


def _bottles(plan: FillPlan) -> str:
    if plan.bottles is None:
        return ""
    buy = [f"{one.to_buy} × {one.size}" for one in plan.bottles.lines if one.to_buy]
    return f"{plan.bottles}" + (f"; to buy: {', '.join(buy)}" if buy else "; all on the shelf")


def _window(plan: FillPlan) -> list[str]:
    window, used = plan.window, plan.window.thermometer
    middle = (window.low_c + window.high_c) / 2
    lines = [
        f"window {degree_span(window.low_c, window.high_c)}",
        f"{used.label}: {used.says}; sure to ± {1.96 * used.uncertainty_k(middle):.1f} K ({used.grade})",
    ]
    if window.from_c is None or window.to_c is None:
        lines.append("no reading of it makes sure of the window: use a surer thermometer")
    else:
        lines.append(f"inside for sure (95 %) while it reads {degree_span(window.from_c, window.to_c)}")
    lines.append(f"each K outside sets the level wrong by {1000 * window.error.per_kelvin_l:.1f} mL")
    return lines


def _sentence(line: str) -> str:
    return line[:1].upper() + line[1:] + ("" if line.endswith(".") else ".")
