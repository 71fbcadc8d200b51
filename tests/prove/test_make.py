"""Verdicts on drives whose every second is known."""

import dataclasses
import re

import numpy as np
import pytest
from tests.prove.drives import FLUID, drive

from coldsoak.errors import InputError
from coldsoak.prove import Circuit, Other, Proof, Soak, load_assumptions, prove
from coldsoak.prove.codes import parse_readiness, weigh_codes
from coldsoak.prove.seen import Seen, Spell
from coldsoak.record.findings import Measure, TestResult
from coldsoak.shop.desk.sensor import soak_of, soaks

ASSUME = load_assumptions()
SIX = (150.0, 300.0, 450.0, 600.0, 750.0, 900.0)
WARM = np.concatenate([np.linspace(20.0, 85.0, 600), np.full(5401, 88.0)])


def before(at_s: tuple[float, ...] = SIX, lasts_s: float = 1000.0 + 6 * 62.0, **values: object) -> object:
    return drive("before.csv", lasts_s, at_s, **values)  # type: ignore[arg-type]


def test_six_before_and_none_in_as_long_is_proven() -> None:
    """6 in 1000 s against 0 in 1000 s, the size of a repair shop's case; by hand 2^-6.5 of odds, 1.1 % of chance."""
    proof = prove([before()], [drive("after.csv", 1000.0)], ASSUME)  # type: ignore[list-item]
    assert (proof.verdict, proof.episodes_before, proof.episodes_after) == ("proven", 6, 0)
    assert proof.exposure_before_s == pytest.approx(1000.0, abs=8.0)
    odds = 2.0**-6.5
    assert proof.chance_still_there == pytest.approx(odds / (1.0 + odds), rel=0.05)
    assert proof.drive_more_s is None
    assert proof.evidence is not None
    assert proof.evidence.conditional_p == pytest.approx(2.0**-6, rel=0.05)


def test_four_before_and_none_in_half_as_long_is_not() -> None:
    """0 in 500 s after 4 in 1000 s: the honest "not proven yet" (conditional p 0.1975, by hand (2/3)^4)."""
    proof = prove([before(SIX[:4], 1000.0 + 4 * 62.0)], [drive("after.csv", 500.0)], ASSUME)  # type: ignore[list-item]
    assert proof.verdict == "not_proven"
    assert proof.evidence is not None
    assert proof.evidence.conditional_p == pytest.approx((2.0 / 3.0) ** 4, rel=0.05)
    goal = ASSUME.limit / (1.0 - ASSUME.limit)
    assert proof.drive_more_s == pytest.approx(1000.0 * (goal ** (-1.0 / 4.5) - 1.0) - 500.0, rel=0.05)
    assert proof.sentence.startswith("Not proven: drive ")
    assert re.search(
        r"So far 0 episodes in 8 min of driving like before; at the old rate .* seen 2\.0", proof.sentence
    )


def test_driving_what_it_asked_for_proves_it() -> None:
    first = drive("after.csv", 500.0)
    proof = prove([before()], [first], ASSUME)  # type: ignore[list-item]
    assert proof.drive_more_s is not None
    more = drive("more.csv", proof.drive_more_s + 5.0)
    assert prove([before()], [first, more], ASSUME).verdict == "proven"  # type: ignore[list-item]


def test_one_episode_after_is_back() -> None:
    proof = prove([before()], [drive("after.csv", 3000.0, (2000.0,))], ASSUME)  # type: ignore[list-item]
    assert (proof.verdict, proof.drive_more_s, proof.episodes_after) == ("back", None, 1)
    assert proof.chance_still_there > 0.9
    assert (
        proof.sentence
        == "Back: 1 episode in 50 min after the repair, first at 33:20; before it 6 episodes in 23 min."
    )
    assert proof.growth[-1].exposure_s == pytest.approx(2000.0, abs=3.0), "how it fell until then is kept"


def test_a_drive_that_never_got_warm_proves_nothing() -> None:
    """It failed at 88 °C only; two hours at 40 °C say nothing of that."""
    hot = before((2000.0, 2600.0, 3300.0, 4100.0, 5000.0), 6000.0, fluid_c=WARM)
    proof = prove([hot], [drive("after.csv", 7200.0, fluid_c=40.0)], ASSUME)  # type: ignore[list-item]
    assert proof.verdict == "not_proven"
    assert proof.exposure_after_s == 0.0
    assert proof.chance_still_there > 0.1
    assert "the drive after the repair never was where it used to fail (fluid above" in proof.sentence
    assert proof.drive_more_s is not None
    assert proof.drive_more_s > 600.0
    assert any("Warm it up by driving until the fluid is above" in step for step in proof.road_test)
    assert prove([hot], [drive("after.csv", 7200.0, fluid_c=88.0)], ASSUME).verdict == "proven"  # type: ignore[list-item]


def test_idling_for_hours_proves_nothing_of_what_shakes() -> None:
    speed = np.tile(np.concatenate([np.zeros(300), np.full(300, 60.0)]), 6)[:3601]
    speed = np.append(speed, 60.0)[:3601]
    shaken = drive("before.csv", 3600.0, (400.0, 1000.0, 1700.0, 2300.0, 2800.0, 3500.0), vehicle_speed=speed)
    proof = prove([shaken], [drive("after.csv", 3600.0, vehicle_speed=0.0)], ASSUME)
    assert proof.verdict == "not_proven"
    assert proof.exposure_after_s == 0.0
    assert proof.where_words


def test_nothing_is_proven_by_driving_elsewhere_for_ever() -> None:
    """The chance may have fallen by other driving; without episodes to be expected where it failed it is not proven."""
    speed = np.where(np.arange(3601) % 600 < 300, 30.0, 90.0)
    fast = drive("before.csv", 3600.0, (400.0, 1000.0, 1700.0, 2300.0, 2800.0, 3500.0), vehicle_speed=speed)
    proof = prove([fast], [drive("after.csv", 100_000.0, vehicle_speed=30.0)], ASSUME)
    assert proof.verdict == "not_proven"
    assert proof.exposure_after_s == 0.0
    assert proof.evidence is not None
    per_s = proof.evidence.rate_before_per_h / 3600.0
    assert proof.drive_more_s == pytest.approx(ASSUME.least_expected / per_s, rel=0.01)


def test_bursts_count_once() -> None:
    """Ten drops within two minutes are one event, not ten."""
    at_s = tuple(np.linspace(500.0, 620.0, 10))
    proof = prove([before(at_s, 3600.0)], [drive("after.csv", 3600.0)], ASSUME)  # type: ignore[list-item]
    assert (proof.episodes_before, proof.before.found) == (1, 10)
    assert proof.verdict == "not_proven"


def test_events_that_come_in_bursts_are_taken_together() -> None:
    """Twelve drops in two clusters of six, 90 s apart within: one rule of 60 s would call them twelve events."""
    at_s = tuple(start + 90.0 * n for start in (2000.0, 15_000.0) for n in range(6))
    proof = prove([before(at_s, 20_000.0)], [drive("after.csv", 4000.0)], ASSUME)  # type: ignore[list-item]
    assert proof.episodes_before == 2
    assert proof.notes[0].startswith(
        "The episodes come in bursts: those less than 2 min apart count as one, 2 in all of 12"
    )


def test_another_trouble_of_the_same_channel_is_said() -> None:
    proof = prove([before()], [drive("after.csv", 3000.0, (900.0, 1500.0), kind="toward_short")], ASSUME)  # type: ignore[list-item]
    assert (proof.verdict, proof.episodes_after) == ("not_proven", 0)
    assert proof.new_troubles[0].sentence.startswith(
        "fails in another way than before, towards a short to ground: 2 episodes"
    )
    assert proof.held_back == ("the same channel now fails in another way",)


def test_another_channel_that_fails_now_is_said_and_does_not_hide_the_cure() -> None:
    new = Other("Coolant temperature", "coolant_temp", True, "2 episodes cannot be coolant.")
    proof = prove([before()], [drive("after.csv", 2000.0, others=(new,))], ASSUME)  # type: ignore[list-item]
    assert proof.verdict == "proven"
    assert proof.new_troubles[0].channel == "Coolant temperature"
    assert proof.next_step == "The old fault is gone; look into what is new before handing it over."
    old = drive("before.csv", 1372.0, SIX, others=(new,))
    assert prove([old], [drive("after.csv", 2000.0, others=(new,))], ASSUME).new_troubles == ()


def test_a_log_that_is_too_little_holds_back() -> None:
    proof = prove([before()], [drive("after.csv", 2000.0, settled=False)], ASSUME)  # type: ignore[list-item]
    assert proof.verdict == "not_proven"
    assert proof.held_back == ("after.csv is too little to judge by (Too short)",)


def test_codes_decide_against_and_hold_back() -> None:
    after = [drive("after.csv", 2000.0)]
    back = weigh_codes("fluid_temp", ("P0711",), None, ("P0711",), None)
    proof = prove([before()], after, ASSUME, back)  # type: ignore[list-item]
    assert (proof.verdict, proof.sentence) == ("back", "Back: P0711 is pending again.")
    open_ = weigh_codes("fluid_temp", ("P0711",), (), (), parse_readiness("0047E500"))
    proof = prove([before()], after, ASSUME, open_)  # type: ignore[list-item]
    assert (proof.verdict, proof.drive_more_s) == ("not_proven", 0.0)
    assert "the control unit has not finished its own check of sensors and wiring" in proof.sentence
    clear = weigh_codes("fluid_temp", ("P0711",), (), (), parse_readiness("0007E500"))
    assert prove([before()], after, ASSUME, clear).verdict == "proven"  # type: ignore[list-item]


def test_a_before_log_without_a_fault_proves_nothing() -> None:
    proof = prove([drive("before.csv", 1000.0)], [drive("after.csv", 1000.0)], ASSUME)
    assert (proof.verdict, proof.fault, proof.chance_still_there) == ("not_proven", "none", ASSUME.prior)
    assert proof.sentence == (
        "Not proven: the before-log shows no fault, so nothing can be proven from it: give one in which the fault was there."
    )
    swapped = prove([drive("before.csv", 1000.0)], [drive("after.csv", 1000.0, (500.0,))], ASSUME)
    assert swapped.sentence.endswith("The log after it does: are the two swapped?")
    assert swapped.new_troubles[0].sentence.startswith(
        "fails now, and did not before, towards an open circuit: 1 episode"
    )


def stuck(file: str, *, still: bool) -> Seen:
    """A reading that stands from the second minute of a warm-up on, for the rest of the log."""
    made = drive(
        file, 1200.0, (68.0,), kind="frozen", fluid_c=np.minimum(30.0 + np.arange(1201.0) / 20, 33.0)
    )
    made = dataclasses.replace(made, spells=(Spell(68.0, 1200.0, "frozen"),))
    unsure = dataclasses.replace(made, spells=(), doubted=False, sentence="It stands.", next_test="Compare.")
    return unsure if still else made


def test_a_reading_that_stood_still_says_nothing_of_how_hot_it_was() -> None:
    """The repaired sensor shows the warm engine that the stuck one hid: that drive counts (common practice, no source)."""
    before = [stuck("before.csv", still=False)]
    warm = drive("after.csv", 2400.0, fluid_c=np.minimum(30.0 + np.arange(2401.0) / 10, 90.0))
    found = prove(before, [warm], ASSUME)
    assert (found.verdict, found.after.unlike_s) == ("proven", 0.0)


def test_a_reading_that_may_stand_still_again_is_not_proven() -> None:
    before = [stuck("before.csv", still=False)]
    found = prove(before, [stuck("after.csv", still=True)], ASSUME)
    assert found.verdict == "not_proven"
    assert found.held_back == ("after.csv leaves open whether the reading moves again (It stands)",)


LOW, RIGHT = Soak(4.0, -11.0, low=True, high=False), Soak(15.0, -0.5, low=False, high=False)


@pytest.mark.parametrize(
    ("soak", "verdict"),
    [
        (RIGHT, "proven"),
        (None, "not_proven"),
        (LOW, "back"),
        (
            Soak(11.0, -4.0, low=False, high=False),
            "not_proven",
        ),  # beyond the tolerance, short of an accusation
    ],
)
def test_a_fault_that_stands_is_proven_by_a_cold_soak(soak: Soak | None, verdict: str) -> None:
    proof = prove([drive("before.csv", 900.0, soak=LOW)], [drive("after.csv", 900.0, soak=soak)], ASSUME)
    assert (proof.verdict, proof.fault) == (verdict, "standing")
    if verdict == "not_proven":
        assert proof.next_step.startswith("Let it stand overnight, start the log before the engine")
        assert proof.drive_more_s == 600.0


def test_odds_of_a_cold_soak_are_those_worked_by_hand() -> None:
    """Normal densities: still there, 10.5 K from what it was, with √(2·1.531² + 1.1²) K; gone, 0.5 K with 3/1.96 K."""
    proof = prove([drive("before.csv", 900.0, soak=LOW)], [drive("after.csv", 900.0, soak=RIGHT)], ASSUME)
    wide, narrow = np.sqrt(2.0 * (3.0 / 1.959964) ** 2 + 1.1**2), 3.0 / 1.959964
    odds = (np.exp(-0.5 * (10.5 / wide) ** 2) / wide) / (np.exp(-0.5 * (0.5 / narrow) ** 2) / narrow)
    assert proof.chance_still_there == pytest.approx(odds / (1.0 + odds), rel=1e-4)


def test_an_intermittent_fault_with_a_bad_soak_needs_both() -> None:
    failing = drive("before.csv", 1372.0, SIX, soak=LOW)
    proof = prove([failing], [drive("after.csv", 2000.0)], ASSUME)
    assert proof.verdict == "not_proven"
    assert "log a start after a night" in proof.held_back[0]
    assert prove([failing], [drive("after.csv", 2000.0, soak=RIGHT)], ASSUME).verdict == "proven"


def test_resistance_in_series_that_is_measured_away() -> None:
    old = dataclasses.replace(
        drive("before.csv", 900.0), circuit=Circuit("series", "reads 9 °C low", (200.0, 150.0, 260.0))
    )
    new = dataclasses.replace(
        drive("after.csv", 900.0), circuit=Circuit("agrees", "right at 90 °C", (4.0, 0.0, 30.0))
    )
    proof = prove([old], [new], ASSUME)
    assert (proof.verdict, proof.fault) == ("proven", "standing")
    assert proof.circuit == "right at 90 °C"
    still = dataclasses.replace(
        drive("after.csv", 900.0), circuit=Circuit("series", "reads 8 °C low", (190.0, 140.0, 250.0))
    )
    assert prove([old], [still], ASSUME).verdict == "back"


def test_it_comes_back_equal_from_json() -> None:
    proof = prove([before()], [drive("after.csv", 500.0)], ASSUME)  # type: ignore[list-item]
    assert Proof.from_json(proof.to_json()) == proof
    assert list(proof.to_dict())[:9] == [
        "schema",
        "verdict",
        "episodes_before",
        "exposure_before_s",
        "episodes_after",
        "exposure_after_s",
        "chance_still_there",
        "drive_more_s",
        "sentence",
    ]
    assert str(proof) == f"{proof.sentence} {proof.next_step}"


def test_the_same_log_twice_is_refused() -> None:
    with pytest.raises(
        InputError, match=r"^before\.csv and before\.csv are the same log: give one from before and one"
    ):
        prove([before()], [before()], ASSUME)  # type: ignore[list-item]


def test_a_log_shorter_than_one_refresh_is_refused() -> None:
    with pytest.raises(
        InputError,
        match=rf"^after\.csv is shorter than one refresh of '{FLUID}' \(every 1 s before the repair\): it says",
    ):
        prove([before()], [drive("after.csv", 0.0)], ASSUME)  # type: ignore[list-item]


def with_dips(lasts_s: float, at_s: tuple[float, ...], zeros_s: tuple[float, ...]) -> np.ndarray:  # type: ignore[type-arg]
    value_c = np.full(int(lasts_s) + 1, 90.0)
    for at in at_s:
        value_c[int(at) : int(at) + 3] = 40.0
    for at in zeros_s:
        value_c[int(at) + 1] = -40.0
    return value_c


def test_lost_messages_after_the_repair_are_not_the_fault() -> None:
    """Before, drops to 40 °C; after, two single readings at -40 °C, which a lost message makes."""
    first = drive("before.csv", 1372.0, SIX, fluid_c=with_dips(1372.0, SIX, ()))
    zeros_s = (500.0, 1500.0)
    second = drive("after.csv", 2000.0, zeros_s, fluid_c=with_dips(2000.0, (), zeros_s))
    proof = prove([first], [second], ASSUME)
    assert (proof.verdict, proof.episodes_after) == ("proven", 0)
    assert proof.notes[0].startswith("Single readings at a raw zero, with all well around them, are left out")
    only_zeros = drive("before.csv", 1372.0, SIX, fluid_c=with_dips(1372.0, (), SIX))
    assert prove([only_zeros], [second], ASSUME).verdict == "back", (
        "where the fault itself looks so, it counts"
    )


def test_where_the_fault_itself_reads_the_raw_zero_a_single_one_is_the_fault() -> None:
    """An open circuit reads -40 °C for a while before the repair and once after it: nothing tells that from the fault."""
    value_c = np.full(1373, 90.0)
    for at in SIX:
        value_c[int(at) : int(at) + 3] = -40.0
    first = drive("before.csv", 1372.0, SIX, fluid_c=value_c)
    second = drive("after.csv", 2000.0, (500.0,), fluid_c=with_dips(2000.0, (), (500.0,)))
    proof = prove([first], [second], ASSUME)
    assert (proof.verdict, proof.episodes_before, proof.episodes_after) == ("back", 6, 1)


def test_small_jumps_the_other_way_are_the_fault_again() -> None:
    """6 K down before, 6 K up after: so small, neither direction is sure; 30 K up would be another fault."""
    small = np.full(1373, 90.0)
    large = np.full(2001, 90.0)
    for at in SIX:
        small[int(at) : int(at) + 3] -= 6.0
    first = drive("before.csv", 1372.0, SIX, fluid_c=small)
    large[500:503] += 6.0
    up = drive("after.csv", 2000.0, (500.0,), kind="toward_short", fluid_c=large)
    assert prove([first], [up], ASSUME).verdict == "back"


def test_a_soak_that_still_disagrees_is_back_whatever_the_episodes_say() -> None:
    failing = drive("before.csv", 1372.0, SIX, soak=LOW)
    proof = prove([failing], [drive("after.csv", 3000.0, soak=LOW)], ASSUME)
    assert (proof.verdict, proof.drive_more_s) == ("back", None)
    assert proof.chance_still_there >= ASSUME.prior
    assert proof.sentence == (
        "Back: after a cold soak it was 11.0 °C low before and is 11.0 °C low now, beyond the 3 °C that sensors may differ by."
    )


def test_what_judge_could_not_settle_is_said_before_it_is_handed_over() -> None:
    unsure = dataclasses.replace(
        drive("after.csv", 2000.0), sentence="This log cannot settle it.", next_test="Compare."
    )
    proof = prove([before()], [unsure], ASSUME)  # type: ignore[list-item]
    assert proof.verdict == "proven"
    assert (
        proof.next_step
        == "Hand it over; keep both logs with the job, and see the note on what the log leaves open."
    )
    assert proof.notes == ("after.csv: This log cannot settle it. Compare.",)


def test_a_log_without_a_reading_is_refused() -> None:
    blank = drive("after.csv", 100.0)
    channel = dataclasses.replace(blank.log.channel(FLUID), reading_rows=np.empty(0, dtype=np.int64))
    silent = dataclasses.replace(blank, log=dataclasses.replace(blank.log, channels=(channel,)))
    with pytest.raises(
        InputError,
        match=rf"^after\.csv holds no reading of '{FLUID}': record again with this channel on\.$",
    ):
        prove([before()], [silent], ASSUME)  # type: ignore[list-item]


def test_a_chance_that_other_conditions_lowered_says_so() -> None:
    """It failed fast; after it was driven slowly for a day, and it may be that speed has nothing to do with it."""
    speed = np.where(np.arange(3601) % 600 < 300, 30.0, 90.0)
    fast = drive("before.csv", 3600.0, (400.0, 1000.0, 1700.0, 2300.0, 2800.0, 3500.0), vehicle_speed=speed)
    proof = prove([fast], [drive("after.csv", 100_000.0, vehicle_speed=30.0)], ASSUME)
    assert "; over all it may depend on, chance that it is still there" in proof.sentence


SERIES = Circuit("series", "reads 20 °C low at 90 °C", (190.0, 170.0, 210.0), None, (20.0, 90.0))


def circuits(first: Circuit, second: Circuit) -> Proof:
    old = dataclasses.replace(drive("before.csv", 900.0), circuit=first)
    return prove([old], [dataclasses.replace(drive("after.csv", 900.0), circuit=second)], ASSUME)


def test_a_circuit_that_reads_exactly_right_is_proven() -> None:
    """By hand: 190 Ω known to 10.2 Ω (95 %: 40 Ω wide); none left, 18.6 standard deviations away: far below a thousandth."""
    proof = circuits(SERIES, Circuit("agrees", "right at 90 °C", None, None, (90.0,)))
    assert proof.verdict == "proven"
    assert proof.chance_still_there < 1e-3


def test_a_circuit_that_was_not_measured_where_it_showed_proves_nothing() -> None:
    """200 Ω beside 2.3 kΩ hardly show at 20 °C, and do beside 0.2 kΩ at 90 °C."""
    proof = circuits(SERIES, Circuit("agrees", "right at 20 °C", None, None, (20.0,)))
    assert (proof.verdict, proof.chance_still_there) == ("not_proven", ASSUME.prior)
    assert "it showed at 90 °C before, so measure there again" in proof.sentence
    assert proof.next_step.startswith("Measure it again beside a thermometer where it was off before")


@pytest.mark.parametrize(("second", "verdict"), [((2200.0, 2000.0, 2400.0), "back"), (None, "proven")])
def test_leakage_is_compared_as_conductance(second: tuple[float, float, float] | None, verdict: str) -> None:
    """2.2 kΩ between 2.0 and 2.4 are 0.455 mS known to 0.021 mS: 21 standard deviations from none."""
    first = Circuit("leakage", "reads 20 °C high at 20 °C", None, (2200.0, 2000.0, 2400.0), (20.0, 90.0))
    after = Circuit("agrees" if second is None else "leakage", "measured again", None, second, (20.0,))
    assert circuits(first, after).verdict == verdict


@pytest.mark.parametrize(
    ("read_c", "verdict"),
    [([12.0, 12.5], "proven"), ([8.0, 12.5], "not_proven"), ([4.0, 12.5, 13.0], "back")],
)
def test_a_cold_soak_that_was_noted_as_a_test_counts_as_one_that_was_logged(
    read_c: list[float], verdict: str
) -> None:
    """Sensors of a cold vehicle agree within 3 °C (assumptions.toml); 4.5 K is beyond that, 8.5 K what judge accuses of."""
    compared = TestResult(
        test="Compared after a night",
        result="As measured.",
        key="cold_soak",
        measures=tuple(Measure(name=f"T{n}", value=value, unit="°C") for n, value in enumerate(read_c)),
    )
    failing = drive("before.csv", 1372.0, SIX, soak=LOW)
    done = dataclasses.replace(drive("after.csv", 2000.0), soak=soak_of(soaks([compared])))
    assert prove([failing], [done], ASSUME).verdict == verdict


def test_a_test_without_temperatures_is_no_cold_soak() -> None:
    said = TestResult(test="Compared", result="They agree.", key="cold_soak")
    agrees = TestResult(test="Compared", result="They agree.", key="cold_soak=agrees")
    other = TestResult(test="Circuit", result="Fine.", key="circuit=agrees")
    assert soaks([said, other]) == []
    assert soaks([said, agrees]) == [0.0]
    assert soak_of([]) is None
