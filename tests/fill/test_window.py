"""The guard-banded window: against the examples of JCGM 106, a second library and limits worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm
from tests.fill.sheets import bare, full

from coldsoak.errors import InputError
from coldsoak.fill.expansion import Expansion, expansion_of
from coldsoak.fill.specification import fluid_of
from coldsoak.fill.thermometer import Thermometer, kinds, thermometer_of
from coldsoak.fill.window import Window, chance_inside, window_of
from coldsoak.sheet.load import load_sheet
from coldsoak.sheet.unit import UnitSheet


def plain(own_k: float) -> Thermometer:
    """A thermometer that reads the fluid itself."""
    return Thermometer(
        kind="test",
        label="test",
        says="",
        share=0.0,
        share_u=0.0,
        own_k=own_k,
        air_c=20.0,
        air_u_k=0.0,
        grade="test",
    )


def window(own_k: float, reading_c: float | None = None) -> Window:
    """The window 35 to 45 °C."""
    fluid = fluid_of(bare())
    return window_of(fluid, plain(own_k), Expansion(850.0), reading_c)


def test_chances_of_the_guide() -> None:
    """JCGM 106:2012 [jcgm-106] clause 7, examples, from memory: oil 13.6 ± 1.8 in 12.5 to 16.3 mm²/s, 0.66; diode −5.47 ± 0.05 V
    below −5.40 V, 0.92."""
    assert chance_inside(13.6, 1.8, 12.5, 16.3) == pytest.approx(0.66, abs=0.005)
    assert chance_inside(-5.47, 0.05, -1000.0, -5.40) == pytest.approx(0.92, abs=0.005)


@given(st.floats(20.0, 60.0), st.floats(0.1, 8.0))
def test_chances_of_a_second_library(fluid_c: float, u: float) -> None:
    assert chance_inside(fluid_c, u, 35.0, 45.0) == pytest.approx(
        float(norm.cdf(45.0, fluid_c, u) - norm.cdf(35.0, fluid_c, u)), abs=1e-12
    )


def test_the_guard_band_of_one_end() -> None:
    """Where the other end is far, 95 % is 1.6449 standard uncertainties inside (normal table)."""
    found = window(1.0)
    assert found.from_c == pytest.approx(35.0 + 1.6449, abs=1e-3)
    assert found.to_c == pytest.approx(45.0 - 1.6449, abs=1e-3)


def test_a_perfect_thermometer_has_the_whole_window_and_a_poor_one_none() -> None:
    """Limits worked by hand: no uncertainty, no guard band; ±5 K is 95 % at best for u = 5/1.95996."""
    sharp = window(1e-3)
    assert (sharp.from_c, sharp.to_c) == pytest.approx((35.0, 45.0), abs=0.01)
    assert window(5 / 1.96 - 0.01).from_c is not None
    poor = window(5 / 1.96 + 0.01)
    assert poor.from_c is None
    assert poor.best_chance == pytest.approx(0.95, abs=0.003)


@pytest.mark.parametrize(
    ("reading_c", "state", "side"),
    [
        (40.0, "inside", ""),
        (36.8, "inside", ""),
        (36.4, "not_to_be_known", "too cold"),
        (33.6, "not_to_be_known", "too cold"),
        (33.2, "outside", "too cold"),
        (43.2, "inside", ""),
        (43.6, "not_to_be_known", "too hot"),
        (46.8, "outside", "too hot"),
    ],
)
def test_inside_outside_or_not_to_be_known(reading_c: float, state: str, side: str) -> None:
    """u = 1 K: inside up to 1.645 K within an end, outside from 1.645 K beyond it, nothing known between."""
    read = window(1.0, reading_c).reading
    assert read is not None
    assert (read.state, read.side) == (state, side)
    assert read.chance_wrong == pytest.approx(1 - read.chance_inside)


def test_the_level_error_of_a_degree() -> None:
    """8.000 L at 15 °C, ρ15 850: 8.1205 L at 35 °C and 8.1825 at 45, 0.0620 L over the 10 K (ASTM D1250 form, derived)."""
    error = window(1.0).error
    assert 10 * error.per_kelvin_l == pytest.approx(0.0620 * 8.0 / 8.1513, abs=2e-4)
    assert error.per_kelvin_mm is None
    fluid = fluid_of(full())
    wide = window_of(fluid, plain(1.0), expansion_of(fluid)).error
    assert wide.per_kelvin_mm == pytest.approx(
        wide.per_kelvin_l / 0.08, rel=1e-12
    )  # 1 L over 800 cm² is 12.5 mm


def test_set_too_cold_it_ends_too_full_and_set_too_hot_too_low() -> None:
    cold, hot = window(0.5, 30.0).reading, window(0.5, 55.0).reading
    assert cold is not None
    assert hot is not None
    assert cold.high_error_l == pytest.approx((35 - 30 + 1.96 * 0.5) * window(0.5).error.per_kelvin_l)
    assert (cold.low_error_l, hot.high_error_l) == (0, 0)
    assert hot.low_error_l < 0


@given(st.sampled_from(sorted(kinds())), st.floats(20.0, 60.0), st.floats(-5.0, 35.0))
def test_reading_and_fluid_are_each_others_inverse(kind: str, fluid_c: float, air_c: float) -> None:
    engine = "off" if kinds()[kind].engine_off_only else "running"
    used = thermometer_of(kind, bare(engine), air_c, judged="believable")
    assert used.fluid_c(used.reads_c(fluid_c)) == pytest.approx(fluid_c)
    assert used.uncertainty_k(fluid_c) >= used.own_k
    assert min(air_c, fluid_c) - 1e-9 <= used.reads_c(fluid_c) <= max(air_c, fluid_c) + 1e-9


def test_with_air_as_warm_as_the_fluid_the_pan_reads_the_fluid() -> None:
    """Limit worked by hand: without a fall in temperature there is nothing between fluid and probe."""
    for name in ("contact", "infrared_painted", "infrared_bare"):
        used = thermometer_of(name, full(), 40.0)
        assert used.reads_c(40.0) == pytest.approx(40.0)
        assert used.reads_c(60.0) < 60.0


def test_a_surer_kind_has_the_wider_window() -> None:
    fluid, widths = fluid_of(full()), []
    for name in ("dipped", "contact", "infrared_painted"):
        found = window_of(fluid, thermometer_of(name, full(), 20.0), expansion_of(fluid))
        widths.append(
            found.to_c - found.from_c if found.from_c is not None and found.to_c is not None else 0.0
        )
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > widths[-1]
    bare_metal = window_of(fluid, thermometer_of("infrared_bare", full(), 20.0), expansion_of(fluid))
    assert bare_metal.from_c is None


def test_a_tolerance_on_the_sheet_widens_the_built_in_thermometer(checkout: "object") -> None:
    """±2 K, even within its ends, is 2/√3 = 1.155 K (GUM 4.3.7); with 1.2 K of its own 1.665 K."""
    sheet = load_sheet(checkout / "src/coldsoak/demo/units/orrin-r6.yaml")  # type: ignore[operator]
    assert thermometer_of("new_built_in", sheet, 20.0).own_k == pytest.approx(1.665, abs=1e-3)


def test_a_thermometer_in_doubt_is_wider() -> None:
    sure, doubt = (
        thermometer_of("built_in", full(), 20.0, judged=said) for said in ("believable", "undecided")
    )
    assert doubt.own_k > sure.own_k + 3
    assert "in doubt" in doubt.grade


@pytest.mark.parametrize(
    ("name", "judged", "own_k", "sheet", "sentence"),
    [
        (
            None,
            None,
            None,
            full(),
            "without a way to read the fluid temperature there is no accurate level check",
        ),
        ("hand", None, None, full(), "'hand' is no thermometer for this: name one of dipped, contact"),
        (
            "built_in",
            None,
            None,
            full(),
            "the built-in thermometer counts only when it was judged: say the verdict on it",
        ),
        (
            "built_in",
            "not_believable",
            None,
            full(),
            "was judged not believable, so the level cannot be set by it",
        ),
        (
            "built_in",
            "maybe",
            None,
            full(),
            "'maybe' is no verdict on a thermometer: say one of believable, undecided",
        ),
        (
            "overnight",
            None,
            None,
            full(),
            "a night in the shop says nothing of fluid that the running engine warms",
        ),
        ("contact", None, 0.0, full(), "a thermometer is not sure to 0 K"),
    ],
)
def test_thermometers_that_cannot_be_used(
    name: str | None, judged: str | None, own_k: float | None, sheet: UnitSheet, sentence: str
) -> None:
    with pytest.raises(InputError) as caught:
        thermometer_of(name, sheet, 20.0, judged=judged, own_k=own_k)
    assert sentence in str(caught.value)


def test_a_reading_that_cannot_be_is_refused() -> None:
    fluid = fluid_of(full())
    with pytest.raises(
        InputError, match=r"would mean fluid at 2[0-9]+ °C, which cannot be: use a surer thermometer"
    ):
        window_of(fluid, thermometer_of("infrared_bare", full(), 20.0), Expansion(850.0), 120.0)


def test_a_reading_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match="a reading of 400 °C is none of a gearbox"):
        window(1.0, 400.0)
