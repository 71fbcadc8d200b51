"""The ledger: what can be written, what is refused, and that fluid is neither made nor lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.fill.sheets import full

from coldsoak.errors import InputError, OutOfRangeError, UnitError
from coldsoak.fill.expansion import Expansion, expansion_of
from coldsoak.fill.figures import methods, places, table
from coldsoak.fill.ledger import Entry, line, read_in, read_out, spills_of, total
from coldsoak.physics.fluid_volume import density_kg_m3

OIL = Expansion(850.0)


def test_what_comes_out_of_the_bottle_for_what_was_drained_hot() -> None:
    """8.000 L at 15 °C, ρ15 850 kg/m³: 8.4089 L at 80 °C and 8.0297 L at 20 °C.

    Derived from the formula of ASTM D1250 table 54D with K1 = 0.6278, seen in three unrelated files; a formula check.
    """
    hot = line(read_out("drain=8.4089 L@80degC,bucket"), OIL, 20.0)
    assert hot.poured_l == pytest.approx(8.0297, abs=1e-4)
    assert line(read_out("drain=8.4089 L@80degC,bucket"), OIL, 15.0).poured_l == pytest.approx(8.0, abs=1e-4)


def test_a_mass_is_a_volume_by_its_density() -> None:
    """Hand-worked: 4.25 kg at 850 kg/m³ are 5 L at 15 °C."""
    assert line(read_out("pan=4.25 kg,scale"), OIL, 15.0).poured_l == pytest.approx(5.0, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "place", "litres", "temp_c", "method"),
    [
        ("suction=5.7L@60degC,bucket", "suction", 5.7, 60.0, "bucket"),
        (" Cooler lines = 500 mL @ 104 °F , jug ", "cooler_lines", 0.5, 40.0, "jug"),
        ("drain=6 US qt@50 °C", "drain", 6 * 0.946352946, 50.0, "guess"),
    ],
)
def test_entries_are_read(text: str, place: str, litres: float, temp_c: float, method: str) -> None:
    """Hand-worked; the US quart is 0.946 352 946 L (NIST SP 811, exact)."""
    entry = read_out(text)
    assert (entry.place, entry.method) == (place, method)
    assert entry.litres == pytest.approx(litres)
    assert entry.temp_c == pytest.approx(temp_c)


def test_what_goes_in_has_the_temperature_of_the_bottle() -> None:
    assert read_in("3L,bottles", 17.0).temp_c == 17.0
    assert read_in("3L@25degC,bottles", 17.0).temp_c == 25.0


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("5.7 L@60degC", "is no entry of the ledger: write where, how much, how warm and how measured"),
        ("drain=5.7 L", "does not say how warm it was when it was measured: add that"),
        (
            "drain=5,7L@60degC",
            "'7L@60degC' is no way of measuring here: use a point for decimals; name one of bucket",
        ),
        ("drain=5.7@60degC", "'5.7' has no unit: write the volume as in 5.5 L or 6 US quart"),
        ("drain=6 quart@60degC", "'quart' can mean more than one unit of volume"),
        ("tap=5 L@60degC", "fluid does not come out at 'tap' here: name one of suction, drain, pan"),
        (
            "drain=5 L@60degC,eye",
            "'eye' is no way of measuring here: name one of bucket, jug, bottles, pump, scale, guess",
        ),
        ("drain=5 L@60degC,sheet", "'sheet' is no way of measuring here"),
        ("drain=0 L@60degC,bucket", "an amount is above 0"),
        ("drain=-1 L@60degC,bucket", "an amount is above 0"),
        ("drain=4 kg,bucket", "'4 kg' is a mass and 'bucket' measures volume"),
        ("drain=4 L@60degC,scale", "'L' is a unit of volume, not of mass"),
        ("drain=4 L@600degC,bucket", "fluid in a bucket is not at 600 °C"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(text: str, sentence: str) -> None:
    with pytest.raises((InputError, UnitError)) as caught:
        read_out(text)
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_goes_in_has_no_place() -> None:
    with pytest.raises(InputError, match="what went in has no place"):
        read_in("pan=3L", 20.0)


def test_spills_come_from_the_sheet() -> None:
    found = spills_of(full(), ["valve_body"], 20.0)
    assert [(one.place, one.litres, one.method) for one in found] == [("valve_body", 0.6, "sheet")]
    with pytest.raises(InputError, match="gives no `spills` for filter"):
        spills_of(full(), ["filter"], 20.0)
    with pytest.raises(InputError, match="'valve_bdy' is not on the sheet: did you mean 'valve_body'"):
        spills_of(full(), ["valve_bdy"], 20.0)


def test_a_density_that_is_none_of_an_oil_is_refused() -> None:
    fluid = full().fluid
    assert fluid is not None
    wrong = fluid.model_copy(update={"density_15c": type(fluid.density_15c).model_validate("400 kg/m³")})  # type: ignore[union-attr]
    with pytest.raises(OutOfRangeError):
        expansion_of(wrong).volume_l(1.0, 20.0, 40.0)


AMOUNTS = st.lists(
    st.builds(
        Entry,
        way=st.just("out"),
        place=st.sampled_from(sorted(places())),
        litres=st.floats(0.01, 10.0),
        temp_c=st.floats(-10.0, 120.0),
        method=st.sampled_from(sorted(methods())),
    ),
    min_size=1,
    max_size=8,
)


@given(AMOUNTS, st.floats(-5.0, 45.0), st.floats(805.0, 900.0))
def test_mass_is_conserved(entries: list[Entry], bottle_c: float, density: float) -> None:
    """What weighed so much in the buckets weighs as much out of the bottle (conservation of mass)."""
    oil = Expansion(density)
    poured = total([line(entry, oil, bottle_c) for entry in entries])
    drained_kg = sum(
        (entry.litres or 0.0) * float(density_kg_m3(entry.temp_c or 0.0, density)) / 1000 for entry in entries
    )
    assert poured.litres * float(density_kg_m3(bottle_c, density)) / 1000 == pytest.approx(
        drained_kg, rel=1e-9
    )


@given(AMOUNTS, st.randoms(use_true_random=False))
def test_the_order_of_entries_does_not_matter(entries: list[Entry], random: "object") -> None:
    shuffled = list(entries)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    sums = [total([line(entry, OIL, 20.0) for entry in some]) for some in (entries, shuffled)]
    assert sums[0] == sums[1]


@given(AMOUNTS)
def test_more_entries_are_never_surer(entries: list[Entry]) -> None:
    lines = [line(entry, OIL, 20.0) for entry in entries]
    assert total(lines).uncertainty_l >= max(one.uncertainty_l for one in lines)


def test_the_uncertainty_of_a_sum_is_that_of_the_guide() -> None:
    """GUM equation 10, hand-worked: independent 0.3 L and 0.4 L make 0.5 L."""
    lines = [
        line(read_out("drain=3 L@20degC"), OIL, 20.0).model_copy(update={"uncertainty_l": u})
        for u in (0.3, 0.4)
    ]
    assert total(lines).uncertainty_l == pytest.approx(0.5)


@pytest.mark.parametrize("name", ["methods.toml", "thermometers.toml"])
def test_every_figure_says_where_it_is_from(name: str) -> None:
    rows = [row for row in table(name).values() if "label" in row]
    assert rows
    assert all(row["grade"] for row in rows)
    assert all("judgement" in row["grade"] or "[" in row["grade"] for row in rows)
