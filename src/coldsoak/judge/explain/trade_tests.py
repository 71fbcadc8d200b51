"""The trade's tests: what each takes and what each may show."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

from coldsoak.errors import InputError
from coldsoak.judge.explain.causes import CauseTable, load_causes, parse_toml
from coldsoak.judge.explain.odds import Node, read_node, text, texts
from coldsoak.logs.log import Floats
from coldsoak.text_file import read_text

Answer = TypeVar("Answer")
MOST_ANSWERS = 500


@dataclass(frozen=True)
class TradeTest:
    """One test: minutes of work, tools, what must be opened, its caution, and the odds of its results.

    `must_show` says that it can only show a fault which is there at that moment; `settles` names the symptom that the
    test decides, where a log may have decided it already.
    """

    name: str
    label: str
    minutes: float
    tools: tuple[str, ...]
    opens: str
    caution: str
    only_for: tuple[str, ...]
    must_show: bool
    settles: str | None
    node: Node


@dataclass(frozen=True)
class Knowledge:
    """All that the ranking of causes and the choice of the next test hang on."""

    causes: CauseTable
    tests: Mapping[str, TradeTest]
    made: dict[str, Floats] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )  # tables worked out once
    answered: dict[object, Any] = field(default_factory=dict, init=False, compare=False, repr=False)

    def once(self, question: object, answer: Callable[[], Answer]) -> Answer:
        """Return the answer to a question that was asked before, for the same symptoms come again and again."""
        if question not in self.answered:
            if len(self.answered) >= MOST_ANSWERS:
                self.answered.clear()
            self.answered[question] = answer()
        found: Answer = self.answered[question]
        return found


def load_knowledge(causes_path: Path | None = None, tests_path: Path | None = None) -> Knowledge:
    """Return causes and tests from a shop's own files, or from those that come with the program.

    >>> load_knowledge().tests["unplug"].minutes
    4.0
    """
    if causes_path is None and tests_path is None:
        return _own()
    causes = load_causes(causes_path)
    return Knowledge(causes, load_trade_tests(tests_path, causes))


@cache
def _own() -> Knowledge:
    causes = load_causes()
    return Knowledge(causes, load_trade_tests(None, causes))


def load_trade_tests(path: Path | None, causes: CauseTable) -> dict[str, TradeTest]:
    """Return the tests of a shop's own file, or of the one that comes with the program, for these causes."""
    if path is None:
        content, file = (
            files("coldsoak.judge.explain").joinpath("trade_tests.toml").read_text(encoding="utf-8"),
            "trade_tests.toml",
        )
    else:
        content, file = read_text(path), str(path)
    entries = parse_toml(content, file).get("test", {})
    if not entries:
        raise InputError(f"{file} holds no [test.…]: add one, or leave the file out to use the usual tests.")
    return {name: _test(f"{file}, [test.{name}]", name, entry, causes) for name, entry in entries.items()}


def _test(where: str, name: str, entry: Mapping[str, Any], causes: CauseTable) -> TradeTest:
    minutes = entry.get("minutes")
    if isinstance(minutes, bool) or not isinstance(minutes, int | float) or not 0 < minutes < float("inf"):
        raise InputError(f"{where}: minutes is {minutes!r}, but must be a number above 0.")
    settles = entry.get("settles")
    if settles is None:
        node = read_node(where, name, entry, causes.names)
        if not isinstance(entry.get("must_show"), bool):
            raise InputError(f"{where}: must_show is {entry.get('must_show')!r}, but must be true or false.")
    elif settles in causes.symptoms:
        node = causes.symptoms[settles]
    else:
        raise InputError(
            f"{where} settles {settles!r}, which is no symptom: use {', '.join(causes.symptoms)}."
        )
    return TradeTest(
        name=name,
        label=text(where, entry, "label"),
        minutes=float(minutes),
        tools=texts(where, entry, "tools"),
        opens=text(where, entry, "opens"),
        caution=text(where, entry, "caution"),
        only_for=texts(where, entry, "only_for"),
        must_show=settles is None and entry["must_show"],
        settles=settles,
        node=node,
    )
