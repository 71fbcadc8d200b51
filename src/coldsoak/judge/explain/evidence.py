"""What is known of one channel: symptoms that judge saw in the log, and results of the trade's tests."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from typing import Final, Literal, get_args, get_type_hints

from coldsoak.errors import InputError
from coldsoak.judge.explain.trade_tests import Knowledge, TradeTest

UNKNOWN: Final = "unknown"
YesNo = Literal["yes", "no", "unknown"]


@dataclass(frozen=True)
class Symptoms:
    """What a log shows of one channel; whatever it does not tell stays `unknown` and counts for nothing.

    direction: which way the reading leaves what is possible, most times that it does; `none` where it never does.
    pace: how fast it leaves; `unknown` where it never does.
    level_after_soak: its first readings after a cold soak against the other sensors.
    stood_long: whether another liquid shows that one whose first reading is odd had stood for long enough.
    heat_balance: whether a hot reading is supported by heat given and taken.
    end_of_scale: whether it reaches an end of its scale, most times that it leaves.
    others_affected: whether other channels jump, drop out or stand still at the same moments.
    rises_when_stopped: whether it rises while the vehicle stands and falls when air moves again.
    sluggish: whether it follows later than such a sensor should.
    leans: to which side an odd but possible reading would be false.
    doubt: how far what is odd about a possible reading goes beyond what healthy ones do.
    slipping: whether converter or clutches slip when they should hold.
    heavy_load: whether the load was heavy before and while it reads hot.
    """

    direction: Literal["none", "toward_open", "toward_short", "both", "frozen", "unknown"] = UNKNOWN
    pace: Literal["quick", "slow", "creeping", "standing", "unknown"] = UNKNOWN
    level_after_soak: Literal["agrees", "low", "high", "unknown"] = UNKNOWN
    stood_long: YesNo = UNKNOWN
    heat_balance: Literal["supported", "unsupported", "not_hot", "unknown"] = UNKNOWN
    end_of_scale: YesNo = UNKNOWN
    others_affected: YesNo = UNKNOWN
    rises_when_stopped: YesNo = UNKNOWN
    sluggish: YesNo = UNKNOWN
    leans: Literal["colder", "hotter", "neither", "unknown"] = UNKNOWN
    doubt: Literal["slight", "clear", "strong", "unknown"] = UNKNOWN
    slipping: YesNo = UNKNOWN
    heavy_load: YesNo = UNKNOWN

    def known(self) -> dict[str, str]:
        """Return the symptoms that are known.

        >>> Symptoms(direction="both").known()
        {'direction': 'both'}
        """
        return {
            field.name: value for field in fields(self) if (value := getattr(self, field.name)) != UNKNOWN
        }


_STATES = {name: get_args(kind) for name, kind in get_type_hints(Symptoms).items()}


def parse_evidence(text: str, knowledge: Knowledge) -> tuple[str, str]:
    """Read `TEST=RESULT` as it is typed.

    >>> from coldsoak.judge.explain.trade_tests import load_knowledge
    >>> parse_evidence("unplug=reads_cold", load_knowledge())
    ('unplug', 'reads_cold')
    """
    name, equals, result = (part.strip().replace("-", "_") for part in text.partition("="))
    if not equals:
        raise InputError(f"the evidence {text!r} is not of the form TEST=RESULT, such as unplug=reads_cold.")
    test = find_test(name, knowledge)
    if result not in test.node.says:
        raise InputError(f"the test {name} has no result {result!r}: use one of {', '.join(test.node.says)}.")
    return name, result


def parse_all_evidence(texts: Iterable[str], knowledge: Knowledge) -> dict[str, str]:
    """Read every `TEST=RESULT`; one test cannot have two results."""
    found: dict[str, str] = {}
    for text in texts:
        name, result = parse_evidence(text, knowledge)
        if found.setdefault(name, result) != result:
            raise InputError(
                f"the test {name} was given as {found[name]} and as {result}: give the result that holds."
            )
    return found


def find_test(name: str, knowledge: Knowledge) -> TradeTest:
    """Return a test by its name; an unknown name lists the known ones."""
    if name not in knowledge.tests:
        raise InputError(f"there is no test {name!r}: use one of {', '.join(knowledge.tests)}.")
    return knowledge.tests[name]


def states(symptoms: Symptoms, evidence: Mapping[str, str], knowledge: Knowledge) -> dict[str, str]:
    """Return the state of every node that is known: symptoms by name, tests by name.

    A test that settles a symptom takes its place: what was measured counts more than what a log seemed to show. A symptom
    that a shop's own table leaves out, or a state of one, counts for nothing.
    """
    table = knowledge.causes.symptoms
    known = {
        name: state
        for name, state in symptoms.known().items()
        if name in table and (state in table[name].says or state not in _STATES[name])
    }
    for name, result in evidence.items():
        test = find_test(name, knowledge)
        known[test.settles or name] = result
    return known
