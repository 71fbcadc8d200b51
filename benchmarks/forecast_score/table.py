"""The results as tables in Markdown."""

from collections.abc import Callable, Sequence

import numpy as np

from .work import Result

LEAD_CLASSES_S = (
    (0.0, 120.0, "to 2 min"),
    (120.0, 300.0, "2 to 5 min"),
    (300.0, 600.0, "5 to 10 min"),
    (600.0, np.inf, "over 10 min"),
)
METHODS: dict[str, Callable[[Result], float]] = {
    "straight line": lambda r: r.line_s,
    "exponential": lambda r: r.exponential_s,
    "line that knows": lambda r: r.hindsight_s,
    "**ours**": lambda r: r.ours_s[1],
}
ERROR_AIM, COVER_AIM, SPEED_AIM_MS = 0.12, (0.75, 0.88), 1.0


def groups(results: Sequence[Result]) -> dict[str, list[Result]]:
    """Return the openings by group, and at the end all real ones on vehicles as they are."""
    found: dict[str, list[Result]] = {}
    for result in results:
        if result.case.true_s is not None and not result.case.closing:
            found.setdefault(result.source.group, []).append(result)
    return found


def real(results: Sequence[Result], *, unknown: bool = False) -> list[Result]:
    """Return the openings on real logs with nothing left out, or as unknown vehicles."""
    return [
        r
        for r in results
        if r.source.group.startswith("real")
        and bool(r.source.without) is unknown
        and r.case.true_s is not None
        and not r.case.closing
    ]


def _rows(results: Sequence[Result]) -> list[tuple[str, list[Result]]]:
    return [
        *groups(results).items(),
        ("**real, all**", real(results)),
        ("**real, all, as unknown vehicles**", real(results, unknown=True)),
    ]


def error(results: Sequence[Result], method: Callable[[Result], float]) -> float:
    """Return the median error as a share of the lead."""
    shares = [abs(method(r) - _true(r)) / (_true(r) - r.case.at_s) for r in results]
    return float(np.median(shares)) if shares else float("nan")


def cover(results: Sequence[Result]) -> float:
    """Return how often the true time lies between the early and the late one."""
    return (
        float(np.mean([r.ours_s[0] <= _true(r) <= r.ours_s[2] for r in results])) if results else float("nan")
    )


def late(results: Sequence[Result]) -> float:
    """Return how often the late time of what did not happen in the log is after its end."""
    return float(np.mean([r.ours_s[2] > r.case.end_s for r in results])) if results else float("nan")


def opening_table(results: Sequence[Result]) -> str:
    """Return errors and coverage by group."""
    rows = []
    for name, of in _rows(results):
        if of:
            logs = len({r.source.file for r in of})
            shown = [f"{error(of, method):.3f}" for method in METHODS.values()]
            rows.append(
                [
                    name,
                    str(logs),
                    str(len(of)),
                    *shown,
                    f"{cover(of):.2f}",
                    f"{_early(of):.2f}",
                    f"{_per_log(of):.3f}",
                ]
            )
    return markdown(
        ["group", "warm-ups", "forecasts", *METHODS, "in the band", "before it", "ours, median of warm-ups"],
        rows,
    )


def lead_table(results: Sequence[Result]) -> str:
    """Return our error and coverage by lead."""
    rows = []
    for name, of in _rows(results):
        cells = []
        for low_s, high_s, _ in LEAD_CLASSES_S:
            inside = [r for r in of if low_s < _true(r) - r.case.at_s <= high_s]
            line = error(inside, METHODS["straight line"])
            cells.append(
                f"{error(inside, METHODS['**ours**']):.2f} ({line:.2f}), {cover(inside):.2f} of {len(inside)}"
                if inside
                else ""
            )
        rows.append([name, *cells])
    return markdown(["group", *(label for *_, label in LEAD_CLASSES_S)], rows)


def other_table(results: Sequence[Result]) -> str:
    """Return coverage of closing times, and what is said of windows that stay shut while the log lasts."""
    rows = []
    for name in dict.fromkeys(r.source.group for r in results):
        of = [r for r in results if r.source.group == name]
        closing = [r for r in of if r.case.closing]
        shut = [r for r in of if r.case.true_s is None]
        rows.append(
            [
                name,
                f"{error(closing, METHODS['**ours**']):.3f}, {cover(closing):.2f} of {len(closing)}"
                if closing
                else "",
                f"{late(shut):.2f} of {len(shut)}" if shut else "",
            ]
        )
    return markdown(
        ["group", "closing: error, in the band", "shut as long as recorded: late is after that"], rows
    )


def markdown(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return "\n".join(lines + ["| " + " | ".join(row) + " |" for row in rows])


def _true(result: Result) -> float:
    assert result.case.true_s is not None  # noqa: S101 (openings and closings have one)
    return result.case.true_s


def _early(results: Sequence[Result]) -> float:
    return float(np.mean([_true(r) < r.ours_s[0] for r in results]))


def _per_log(results: Sequence[Result]) -> float:
    logs = {r.source.file for r in results}
    return float(
        np.median([error([r for r in results if r.source.file == log], METHODS["**ours**"]) for log in logs])
    )
