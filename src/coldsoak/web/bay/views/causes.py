"""What would explain a reading, how a result has moved it, and the test to do next."""

from dataclasses import dataclass

from coldsoak.judge.explain.causes import applies
from coldsoak.judge.explain.inference import percent
from coldsoak.judge.explain.next_test import ProposedTest
from coldsoak.judge.explain.trade_tests import load_knowledge
from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.web.bay.views.shown import capital

MOST_CAUSES = 6


@dataclass(frozen=True)
class CauseLine:
    """One cause: how likely now, how likely before the last result, and why."""

    label: str
    now: str
    width: float
    before: str
    before_width: float
    moved: str
    mark: str
    reason: str
    advice: str


@dataclass(frozen=True)
class OutcomeLine:
    """What one result of the next test would mean."""

    says: str
    likely: str
    then: str


@dataclass(frozen=True)
class TestCard:
    """The test to do next."""

    __test__ = False

    says: str
    minutes: str
    tools: str
    opens: str
    caution: str
    outcomes: tuple[OutcomeLine, ...]


@dataclass(frozen=True)
class TestChoice:
    """One test and the results it can have."""

    __test__ = False

    label: str
    results: tuple[tuple[str, str], ...]


def before_test(channel: ChannelJudgement | None, test: ProposedTest | None) -> str:
    """What to record or do besides the first test, which stands on the page by itself."""
    said = channel.next_test or "" if channel is not None else ""
    return " ".join(said.replace(str(test), "").split()) if test is not None else said


def card(test: ProposedTest) -> TestCard:
    """Return the test to do next, with what each of its results would mean."""
    return TestCard(
        says=capital(test.label),
        minutes=f"{test.minutes:.0f} min",
        tools=", ".join(test.tools),
        opens=test.opens,
        caution=test.caution,
        outcomes=tuple(
            OutcomeLine(
                says=capital(one.label),
                likely=percent(one.probability),
                then=f"{one.top_label}, {percent(one.top_probability)}",
            )
            for one in test.outcomes
        ),
    )


def choices(channel: ChannelJudgement | None) -> tuple[TestChoice, ...]:
    """Every test that makes sense for the channel, the proposed ones first."""
    if channel is None:
        return ()
    known = load_knowledge().tests
    fitting = [name for name, one in known.items() if applies(one.only_for, channel.quantity)]
    proposed = [one.test for one in channel.tests if one.test in fitting]
    ordered = [*proposed, *(name for name in fitting if name not in proposed)]
    return tuple(
        TestChoice(
            label=f"{capital(known[name].label)} ({known[name].minutes:.0f} min)",
            results=tuple((f"{name}={state}", said) for state, said in known[name].node.says.items()),
        )
        for name in ordered
    )


def causes(channel: ChannelJudgement | None, before: ChannelJudgement | None) -> tuple[CauseLine, ...]:
    """Return the causes of a channel, the most likely first, each with what it was before the last result."""
    if channel is None:
        return ()
    was = (
        {one.cause: one.probability for one in before.causes}
        if before is not None and before.causes
        else None
    )
    lines = []
    for one in channel.causes[:MOST_CAUSES]:
        then = was.get(one.cause, 0.0) if was is not None else None
        moved, mark = _moved(then, one.probability)
        lines.append(
            CauseLine(
                label=capital(one.label),
                now=_percent(one.probability),
                width=_width(one.probability),
                before=_percent(then) if then is not None else "",
                before_width=_width(then or 0.0),
                moved=moved,
                mark=mark,
                reason=capital(one.reason),
                advice=one.advice,
            )
        )
    return tuple(lines)


def _percent(probability: float) -> str:
    return percent(probability).replace(" ", "\N{NO-BREAK SPACE}")


def _moved(before: float | None, now: float) -> tuple[str, str]:
    if before is None:
        return "", ""
    if percent(before) == percent(now):
        return "as before", "="
    return ("more likely", "▲") if now > before else ("less likely", "▼")


def _width(probability: float) -> float:
    return round(100.0 * probability, 1)
