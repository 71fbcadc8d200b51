"""From findings to the verdict on one channel: the sentence, the causes, the next test."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from coldsoak.judge.detect.doubt import Reason
from coldsoak.judge.detect.soak import outside_air_fits
from coldsoak.judge.explain.causes import NO_FAULT
from coldsoak.judge.explain.evidence import Symptoms
from coldsoak.judge.explain.fails_when import fails_when
from coldsoak.judge.explain.inference import RankedCause, rank
from coldsoak.judge.explain.next_test import ProposedTest, next_tests
from coldsoak.judge.explain.trade_tests import Knowledge
from coldsoak.judge.findings import Findings
from coldsoak.judge.judgement import ChannelJudgement, Episode, Verdict
from coldsoak.judge.measured import Measured
from coldsoak.judge.second_fault import both_stand, by_meter, explains, far_off, with_reasons
from coldsoak.judge.vehicle.machine import Machine
from coldsoak.judge.vehicle.medium import Medium
from coldsoak.logs.log import Channel

FEWEST_READINGS = 30
SHORTEST_S = 60.0
COARSEST_S = 30.0
COARSE_QUANTITIES = frozenset({"fluid_temp", "coolant_temp", "oil_temp"})
LEAST_PROBABILITY = 0.01
MOST_TESTS = 3
KNOWN_WELL = 0.95
"""From here on one of at least twenty tests would change the plan; common practice, no source."""
LEAST_SHOWN = 0.1  # a smaller share of the log [%] would read as none
RECORD: Mapping[Reason, str] = {
    "swing": "Record again and hold a contact thermometer to it while the swing comes.",
    "still": "Record again over changing load, at least 10 minutes.",
    "soak": "Let it stand overnight and read all temperatures before the start: they must agree within 3 °C.",
    "drift": "Compare with a contact thermometer, cold and hot.",
    "lost": "Record again with fewer channels, and drive: lost messages take other channels to zero too.",
    "level": "Compare with a contact thermometer, cold and hot.",
    "lag": "Look at the fluid level first, then hold a contact thermometer beside the sensor while it warms up.",
}

ANSWERED_BY: Mapping[Reason, frozenset[str]] = {
    "soak": frozenset({"cold_soak"}),
    "drift": frozenset({"thermometer"}),
    "level": frozenset({"thermometer"}),
    "lag": frozenset({"fluid_level", "thermometer"}),
}
"""The trade's tests that a record asks for; where all of them were done it is not asked for again."""


@dataclass(frozen=True)
class _Said:
    """Verdict and sentence; what to record; whether causes and tests are worth naming; whether it is well and truly hot."""

    verdict: Verdict
    sentence: str
    record: str | None = None
    explain: bool = True
    hot: bool = False


def give_verdict(
    machine: Machine,
    channel: Channel,
    medium: Medium,
    found: Findings,
    symptoms: Symptoms,
    measured: Measured,
    knowledge: Knowledge,
) -> ChannelJudgement:
    """Return the verdict on `channel`."""
    said = _say(machine, channel, medium, found, symptoms, measured)
    causes: tuple[RankedCause, ...] = ()
    tests: tuple[ProposedTest, ...] = ()
    both: str | None = None
    far = far_off(measured.bench, knowledge)
    if far is not None:
        evidence, done = measured.beside_the_bench.evidence, tuple(measured.evidence)
        weighed = by_meter(knowledge, far)
        causes, tests = _explained(symptoms, evidence, done, weighed, channel.quantity)
        if explains(causes[0], far):
            causes = with_reasons(causes, far)
        else:
            causes, tests = _explained(symptoms, evidence, done, knowledge, channel.quantity)
            both = both_stand(far, causes)
    elif said.explain or measured:
        causes, tests = _explained(symptoms, measured.evidence, (), knowledge, channel.quantity)
    first = str(tests[0]) if tests else None
    known = _known_well(causes, and_test=first is not None, measured=bool(measured))
    return ChannelJudgement(
        name=channel.name,
        quantity=str(channel.quantity),
        refresh_s=channel.refresh_s,
        verdict=said.verdict,
        sentence=said.sentence,
        episodes=tuple(found.episodes),
        causes=causes,
        next_test=" ".join(part for part in (both, said.record, first, known) if part) or None,
        tests=tests,
        fails_when=fails_when(machine, channel, found.episodes),
        bench=measured.bench,
        circuit=measured.circuit,
        assumed=channel.assumed,
        is_truly_hot=said.hot,
    )


def _explained(
    symptoms: Symptoms,
    evidence: Mapping[str, str],
    done: tuple[str, ...],
    knowledge: Knowledge,
    quantity: str | None,
) -> tuple[tuple[RankedCause, ...], tuple[ProposedTest, ...]]:
    """Return the likely causes and the next tests; what the shop's own list of tests leaves out counts for nothing."""
    evidence = {name: result for name, result in evidence.items() if name in knowledge.tests}

    def answer() -> tuple[tuple[RankedCause, ...], tuple[ProposedTest, ...]]:
        ranked = rank(symptoms, evidence, knowledge, quantity)
        causes = tuple(cause for cause in ranked if cause.probability >= LEAST_PROBABILITY)
        return causes, next_tests(symptoms, evidence, knowledge, quantity, done, most=MOST_TESTS)

    return knowledge.once((symptoms, tuple(evidence.items()), done, quantity), answer)


def _known_well(causes: Sequence[RankedCause], *, and_test: bool, measured: bool) -> str | None:
    """Return what to do about a cause that hardly leaves room for another; None while it does.

    That there is no fault is known well once something was measured.
    """
    if not causes or causes[0].probability < KNOWN_WELL or (causes[0].cause == NO_FAULT and not measured):
        return None
    without = " without it" if and_test else ""
    return f"Known well enough to act on{without} ({causes[0].label}): {causes[0].advice}"


def without_readings(channel: Channel) -> ChannelJudgement:
    """Return the verdict on a channel that holds no reading."""
    return ChannelJudgement(
        name=channel.name,
        quantity=str(channel.quantity),
        refresh_s=channel.refresh_s,
        verdict="undecided",
        sentence="It holds no reading.",
        next_test="Record again with this channel on.",
    )


def in_either_unit(
    celsius: ChannelJudgement, fahrenheit: ChannelJudgement, channel: Channel
) -> ChannelJudgement:
    """Return the verdict on a channel of which nobody knows its unit: that which it has in either, or none.

    What cannot be true in °C nor in °F is false whatever its unit is. What is well in both is believed, unless one of them
    would be hot: nobody shall take an overheating gearbox for a warm one.
    """
    verdicts = {celsius.verdict, fahrenheit.verdict}
    if verdicts == {"not_believable"}:
        sentence = f"In °C as in °F, and no unit is given: {celsius.sentence}"
        return celsius.model_copy(update={"sentence": sentence})
    if verdicts == {"believable"} and not (celsius.is_truly_hot or fahrenheit.is_truly_hot):
        sentence = "No unit is given; in °C as in °F every movement is one that could be."
        return celsius.model_copy(update={"sentence": sentence})
    say = f"--map '{channel.name}={channel.quantity}[{{}}]'"
    return celsius.model_copy(
        update={
            "verdict": "undecided",
            "is_truly_hot": False,
            "sentence": "Not judged: no unit is given for it, and °C and °F are both possible.",
            "next_test": f"Say its unit, with {say.format('degC')} or {say.format('degF')}.",
            "episodes": (),
            "causes": (),
            "tests": (),
            "fails_when": (),
        }
    )


def _say(
    machine: Machine,
    channel: Channel,
    medium: Medium,
    found: Findings,
    symptoms: Symptoms,
    measured: Measured,
) -> _Said:
    if found.episodes:
        return _Said("not_believable", _condemning(machine, channel, medium, found.episodes, symptoms))
    if found.doubts:
        doubt = found.doubts[0]
        asked = ANSWERED_BY.get(doubt.reason)
        done = asked is not None and asked <= measured.evidence.keys()
        return _Said(
            "undecided",
            f"This log cannot settle it: {doubt.sentence}.",
            None if done else RECORD[doubt.reason],
        )
    unsettled = _too_little(machine, channel)
    if unsettled is not None:
        return _Said("undecided", *unsettled, explain=False)
    _, value_c = machine.readings(channel)
    if float(value_c.max()) >= medium.hot_c:
        return _Said("believable", _truly_hot(machine, channel, medium, found), hot=True)
    return _Said(
        "believable",
        f"From {value_c.min():.0f} to {value_c.max():.0f} °C: every movement is one that {medium.label} could make.",
        explain=False,
    )


def _condemning(
    machine: Machine, channel: Channel, medium: Medium, episodes: Sequence[Episode], symptoms: Symptoms
) -> str:
    time_s, _ = machine.readings(channel)
    worst = max(episodes, key=lambda e: (e.needed_w or 0.0) / max(e.available_w or 1.0, 1.0))
    total_s = sum(e.end_s - e.start_s for e in episodes)  # no two of them overlap
    share = 100.0 * total_s / max(float(time_s[-1] - time_s[0]), 1e-9)
    many = f"{len(episodes)} episodes" if len(episodes) > 1 else "1 episode"
    of_log = f"{share:.1f} %" if share >= LEAST_SHOWN else f"less than {LEAST_SHOWN} %"
    head = f"{many} in {of_log} of the log cannot be {medium.label}: {worst.sentence}."
    if symptoms.rises_when_stopped == "yes":
        head += (
            " It goes up only while the engine stands and no air passes: the sensor warms itself in still air. "
            "False as an air temperature, and no fault of the wiring."
        )
    return head


def _truly_hot(machine: Machine, channel: Channel, medium: Medium, found: Findings) -> str:
    time_s, value_c = machine.readings(channel)
    peak = int(np.argmax(value_c))
    low = int(np.argmin(value_c[: peak + 1]))
    took_s = max(float(time_s[peak] - time_s[low]), 1.0)
    needed_w = medium.capacity_j_k * float(value_c[peak] - value_c[low]) / took_s
    given_w = float(np.mean(found.supply.give_w[low : peak + 1]))
    return (
        f"The {medium.label} really is at {value_c[peak]:.0f} °C: the {value_c[peak] - value_c[low]:.0f} °C it climbed in "
        f"{took_s / 60:.0f} min take at least {needed_w / 1000:.1f} kW, the metal around it not counted; the machine could "
        f"give {given_w / 1000:.1f} kW. Do not replace the sensor: look at cooling and at what makes the heat."
    )


def _too_little(machine: Machine, channel: Channel) -> tuple[str, str] | None:
    """Return why the log is too little to believe a reading by, and what to record; None where it is enough."""
    time_s, value_c = machine.readings(channel)
    took_s = float(time_s[-1] - time_s[0])
    if len(time_s) < FEWEST_READINGS or took_s < SHORTEST_S:
        return (
            f"Too short: {len(time_s)} reading{'s' * (len(time_s) != 1)} over {took_s:.0f} s.",
            "Record at least 10 minutes from a cold start, engine running.",
        )
    spread = float(value_c.max() - value_c.min())
    if spread <= max(channel.resolution, 0.5) and not outside_air_fits(machine, channel):
        return (
            f"No movement: it stays at {value_c[0]:.0f} °C, as a healthy and as a stuck reading both may.",
            "Record a warm-up or a cool-down of at least 10 minutes, so that it has to move.",
        )
    refresh_s = took_s / (len(time_s) - 1)
    if channel.quantity in COARSE_QUANTITIES and refresh_s > COARSEST_S:
        return (
            f"Too coarse: one reading every {refresh_s:.0f} s hides anything quicker.",
            "Record again with fewer channels, so that each is read at least every 5 s.",
        )
    return None
