"""Is the clamp force there: bands, proof load, stripping, yield, heat."""

import numpy as np
import pytest
from tests.build.sheets import group

from coldsoak.build.clamp import clamp_of, preload_band
from coldsoak.build.friction import friction_of
from coldsoak.build.grip import grip_of
from coldsoak.build.heating import heating_of
from coldsoak.build.yielding import friction_from_nut_factor, yielding_of
from coldsoak.errors import InputError
from coldsoak.physics.joint import preload_from_turn_n
from coldsoak.physics.torque import preload_at_yield_n, torque_bearing_nm
from coldsoak.sheet.thread import read_thread

M6 = read_thread("M6")
assert M6 is not None


@pytest.mark.parametrize("state", ["dry", "oiled", "anti_seize"])
@pytest.mark.parametrize("deviation", [4.0, 6.0])
def test_closed_form_and_drawn_bolts_agree(state: str, deviation: float) -> None:
    """Second method: 20 000 bolts drawn with a fixed seed; 2 % is three standard errors of a 5 % quantile."""
    closed = preload_band(9.0, deviation, friction_of(state), M6)
    random, friction = np.random.default_rng(7), friction_of(state)
    torque_nm = 9.0 * (1 + deviation / 100 * random.uniform(-1, 1, 20_000))
    factor = friction.middle * np.exp(friction.relative_uncertainty * random.standard_normal(20_000))
    drawn = np.quantile(torque_nm / (factor * 6e-3), [0.05, 0.5, 0.95])  # F = T/(K·d)
    assert (closed.low, closed.likely, closed.high) == pytest.approx(drawn, rel=0.02)


def test_the_bands_are_as_wide_as_published_ones() -> None:
    """VDI 2230 table A8 by [bossard-technical]: strongest over weakest 1.6 to 2.0 for a torque wrench."""
    for state in ("dry", "oiled", "anti_seize"):
        band = preload_band(9.0, 4.0, friction_of(state), M6)
        assert 1.59 < band.high / band.low < 2.0


def test_a_measured_nut_factor_narrows_the_band() -> None:
    wide = preload_band(9.0, 4.0, friction_of("oiled"), M6)
    measured = preload_band(9.0, 4.0, friction_of("oiled", (0.18, 0.18)), M6)
    assert measured.high / measured.low < wide.high / wide.low
    assert measured.likely == pytest.approx(wide.likely)


def test_scatter_of_lubricated_bolts_is_that_of_the_book() -> None:
    """[shigley-9e] table 8-14: ten lubricated bolts at one torque, kN; mean 34.18, s 2.88."""
    kn = np.array([30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5])
    assert kn.mean() == pytest.approx(34.18, abs=0.005)
    assert kn.std(ddof=1) / kn.mean() == pytest.approx(friction_of("oiled").scatter, abs=0.0005)


def test_the_worked_m12_of_a_catalogue() -> None:
    """[bossard-technical]: M12 8.8 at 0.14: 41.9 kN at most; divided by 1.8 the weakest has 23.3 kN."""
    most = float(preload_at_yield_n(12.0, 1.75, 640.0, 0.14, 0.9))
    assert most / 1.8 == pytest.approx(23300, rel=0.003)


def test_share_of_proof_load_by_hand() -> None:
    """By hand: 9.04 N·m/(0.18 · 6 mm) = 8370 N of 11 600 N (ISO 898-1, M6 8.8) are 72 %."""
    clamp = clamp_of(group("cover_bolts"), friction_of("oiled"), 4.0)
    assert clamp is not None
    assert clamp.of_proof is not None
    assert clamp.preload_n.likely == pytest.approx(8370, abs=2)
    assert clamp.of_proof.likely == pytest.approx(0.72, abs=0.005)
    assert clamp.of_proof.low < clamp.of_proof.likely < clamp.of_proof.high
    assert clamp.missing == ()
    # M6, 6g and 6H: 5.797 and 5.506 mm at their limits; π·5.797·12·(0.5 + 0.577·0.291/1)·130 MPa = 19.0 kN.
    assert clamp.stripping is not None
    assert clamp.stripping.load_n == pytest.approx(19_000, rel=0.02)
    assert clamp.stripping.margin == pytest.approx(clamp.stripping.load_n / clamp.preload_n.high)


def test_a_short_thread_in_aluminium_warns() -> None:
    soft = group("cover_bolts").model_copy(update={"engaged_length": None})
    clamp = clamp_of(soft, friction_of("oiled"), 4.0)
    assert clamp is not None
    assert clamp.missing == ("whether the thread in aluminium strips: give engaged_length",)
    data = group("cover_bolts").model_dump()
    short = type(soft).model_validate({**data, "engaged_length": "3 mm"})
    warned = clamp_of(short, friction_of("oiled"), 4.0)
    assert warned is not None
    assert warned.stripping is not None
    assert warned.stripping.margin < 1
    assert any("strips at" in one and one.endswith("do not tighten.") for one in warned.warnings)


def test_friction_is_never_assumed() -> None:
    with pytest.raises(InputError, match="for coated threads the nut factor differs from product to product"):
        friction_of("coated")
    with pytest.raises(InputError, match="state the friction of thread and head"):
        friction_of(None)
    with pytest.raises(InputError, match=r"^a nut factor from 0\.3 to 0\.2 is none: "):
        friction_of("dry", (0.3, 0.2))


def test_the_coefficient_behind_a_nut_factor_gives_its_torque_back() -> None:
    """Second method: the long form at that coefficient gives K·d·F again."""
    bolts = group("cover_bolts")
    mu = friction_from_nut_factor(bolts, M6, 0.18)
    bearing = (1.5 * 6 + 1.1 * 6) / 2
    assert float(torque_bearing_nm(1000.0, 6.0, 1.0, mu, mu, bearing)) == pytest.approx(0.18 * 6, rel=1e-6)


def test_a_turn_beyond_yield_stretches_for_good() -> None:
    """Common practice: a small torque-to-yield bolt takes 35 lbf·in plus 45°. The plastic rest is the turn less the
    elastic one, times the pitch, and the preload is that at yield.
    """
    bolts = group("stretch_bolts")
    grip = grip_of(bolts)
    assert grip is not None
    turned = yielding_of(bolts, friction_of("oiled"))
    assert turned is not None
    assert turned.snug_n == pytest.approx(3.9545 / (0.18 * 0.005), rel=1e-3)
    per_degree = float(preload_from_turn_n(1.0, 0.8, grip.bolt_n_mm, grip.member_n_mm))
    elastic = (turned.yield_n - turned.snug_n) / per_degree
    assert elastic < 45
    assert turned.yields_at_deg == pytest.approx(elastic)
    assert turned.stretched_mm == pytest.approx((45 - elastic) / 360 * 0.8)
    assert turned.preload_n == turned.yield_n
    assert turned.plastic_share == pytest.approx((45 - elastic) / 45)
    clamp = clamp_of(bolts, friction_of("oiled"), 6.0)
    assert clamp is not None
    assert clamp.preload_n.high / clamp.preload_n.likely == pytest.approx(
        1.12
    )  # [vdi-2230-1986]: ±5 to ±12 %
    assert clamp.preload_n.low / clamp.preload_n.likely == pytest.approx(0.88)
    assert any(one.startswith("Single use: after ") and "never used again" in one for one in clamp.warnings)


def test_what_is_not_known_after_the_turn_is_said_to_be_before_it() -> None:
    """The torque alone is snug: no margin of thread or screw may be told from it when a turn of 45° still comes."""
    bolts = group("stretch_bolts").model_copy(update={"clamped_length": None, "length": None})
    clamp = clamp_of(bolts, friction_of("oiled"), 6.0, warmer_k=60.0)
    assert clamp is not None
    assert clamp.yielding is None
    assert clamp.before_turn_deg == 45.0
    assert clamp.preload_n.likely == pytest.approx(3.9545 / (0.18 * 0.005), rel=1e-3)  # as snug_n above
    assert clamp.stripping is None
    assert any("after the turn" in one for one in clamp.missing)
    assert not any("hold only" in one for one in clamp.warnings)
    known = clamp_of(group("stretch_bolts"), friction_of("oiled"), 6.0)
    assert known is not None
    assert known.before_turn_deg is None


def test_a_small_turn_stays_elastic_by_hand() -> None:
    bolts = group("stretch_bolts")
    small = type(bolts).model_validate({**bolts.model_dump(), "angle": "1 deg"})
    turned = yielding_of(small, friction_of("oiled"))
    assert turned is not None
    assert turned.yields_at_deg is None
    assert turned.preload_n == pytest.approx(turned.snug_n + turned.elastic_n)


def test_steel_in_aluminium_gains_when_hot_and_loses_in_the_cold() -> None:
    """By hand: 11.5 ppm/K · 80 K · 8 mm = 7.36 µm against both springs."""
    bolts = group("cover_bolts")
    grip = grip_of(bolts)
    assert grip is not None
    hot = heating_of(bolts, 8000.0, 80.0)
    cold = heating_of(bolts, 8000.0, -40.0)
    assert hot is not None
    assert cold is not None
    assert hot.change_n == pytest.approx(0.00736 * grip.joint_n_mm, rel=1e-9)
    assert cold.change_n == pytest.approx(-hot.change_n / 2, rel=1e-9)
    assert hot.left_n == 8000.0
    tight = heating_of(bolts, 12500.0, 300.0)
    assert tight is not None
    assert tight.hot_n == pytest.approx(640 * grip.thread.stress_area_mm2)
    assert tight.left_n == pytest.approx(12500 - (12500 + tight.change_n - tight.hot_n))
