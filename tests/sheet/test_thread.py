"""Threads and the torque they could bear, against the tables of ISO 898-1."""

import pytest

from coldsoak.errors import InputError
from coldsoak.sheet.thread import PROOF_STRESS_MPA, Thread, most_torque_nm, read_thread

# ISO 898-1:2013 table 5 as trade tables print it: nominal stress area in mm² and proof loads in N.
AREAS = {
    "M5x0.8": 14.2, "M6": 20.1, "M7": 28.9, "M8": 36.6, "M8x1": 39.2, "M10": 58.0, "M10x1.25": 61.2, "M12": 84.3,
    "M12x1.25": 92.1, "M16": 157.0,
}  # fmt: skip
PROOF_N = {
    "M5": (8230, 9230, 11800, 13800),
    "M6": (11600, 13100, 16700, 19500),
    "M8": (21200, 23800, 30400, 35500),
    "M10": (33700, 37700, 48100, 56300),
    "M12": (48900, 54800, 70000, 81800),
}


@pytest.mark.parametrize(("name", "area_mm2"), AREAS.items())
def test_stress_areas_as_printed(name: str, area_mm2: float) -> None:
    """Tolerance: half the last printed digit (and M16 is printed without decimals)."""
    thread = read_thread(name)
    assert thread is not None
    assert thread.stress_area_mm2 == pytest.approx(area_mm2, abs=0.5 if name == "M16" else 0.06)


@pytest.mark.parametrize("name", PROOF_N)
def test_proof_loads_as_printed(name: str) -> None:
    """Tolerance 0.7 %: the standard rounds its areas and its loads."""
    thread = read_thread(name)
    assert thread is not None
    for strength, load_n in zip(("8.8", "9.8", "10.9", "12.9"), PROOF_N[name], strict=True):
        assert thread.stress_area_mm2 * PROOF_STRESS_MPA[strength] == pytest.approx(load_n, rel=7e-3)


@pytest.mark.parametrize(
    ("name", "strength", "usual_nm"),
    [("M6", "8.8", 12.2), ("M8", "8.8", 29.8), ("M10", "10.9", 86.6), ("M10", "12.9", 101.3)],
)
def test_the_limit_lies_above_every_usual_torque(name: str, strength: str, usual_nm: float) -> None:
    """VDI 2230 tightening torques at the high friction of 0.16 (formula, from memory): a sheet that asks for these is right."""
    thread = read_thread(name)
    assert thread is not None
    assert usual_nm < most_torque_nm(thread, strength)


def test_a_foot_pound_for_an_inch_pound_is_beyond_every_small_thread() -> None:
    """Common practice, no source: small gearbox bolts take 80 to 106 lbf·in; twelve times that no M6 bears."""
    limit_nm = most_torque_nm(Thread(6.0, 1.0))
    assert 106 * 0.113 < limit_nm < 80 * 1.356


def test_inch_threads() -> None:
    """ASME B1.1: stress area of 1/4-20 UNC is 0.0318 in², of #10-24 0.0175 in²; the metric formula gives 2 to 3 % more."""
    for name, area_in2 in (("1/4-20 UNC", 0.0318), ("#10-24", 0.0175)):
        thread = read_thread(name)
        assert thread is not None
        assert thread.stress_area_mm2 / 25.4**2 == pytest.approx(area_in2, rel=0.03)


@pytest.mark.parametrize("name", ["NPT 1/8", "1/8 NPT", "G1/4", "R 1/2"])
def test_pipe_threads_say_nothing_of_strength(name: str) -> None:
    assert read_thread(name) is None


@pytest.mark.parametrize("name", ["M", "6", "M6x0.01", "M6x5", "M6.3", "six", "M99"])
def test_what_is_no_thread(name: str) -> None:
    with pytest.raises(InputError, match=r"^'.*' (is not a thread|has a pitch that no M)"):
        read_thread(name)
