"""A target that a thread could not bear, or that is far below what it needs, asks back."""

from coldsoak.build.words import FOOT, INCH, torque
from coldsoak.physics.thread import proof_load_n
from coldsoak.physics.torque import torque_short_nm
from coldsoak.sheet.quantities import UNITS
from coldsoak.sheet.thread import PROOF_STRESS_MPA, Thread, most_torque_nm

REUSED_SHARE = (
    0.75  # of the proof load, for joints that are opened again; [shigley-9e] equation 8-31, from memory
)
WEAKEST = "4.6"
SMOOTHEST = 0.12  # anti-seize, the least nut factor of a treated steel thread; [shigley-9e] table 8-15
TENTH = 0.1
TWELVE = 12.0


def needed_nm(thread: Thread, property_class: str | None, nut_factor: float | None) -> float:
    """Return the least torque that would use a screw as screws are used.

    Without a class and a friction state it is that of the weakest screw with the smoothest thread.

    >>> from coldsoak.sheet.thread import read_thread
    >>> round(needed_nm(read_thread("M6"), "8.8", 0.2), 1)
    10.5
    """
    stress = PROOF_STRESS_MPA[property_class or WEAKEST]
    preload = REUSED_SHARE * float(proof_load_n(thread.stress_area_mm2, stress))
    return float(torque_short_nm(preload, nut_factor or SMOOTHEST, thread.diameter_mm))


def doubt(
    target_nm: float,
    unit: str,
    thread: Thread,
    said: str,
    property_class: str | None = None,
    nut_factor: float | None = None,
) -> str | None:
    """Return the question that a target raises for a thread, or None.

    >>> from coldsoak.sheet.thread import read_thread
    >>> print(doubt(108.5, "lbf·ft", read_thread("M6"), "M6", "8.8"))
    80.03 lbf·ft (108.5 N·m, 960.3 lbf·in) is more than any M6 screw of class 8.8 bears, 21 N·m: did you mean 80.03 lbf·in?
    >>> doubt(9.0, "N·m", read_thread("M6"), "M6", "8.8")
    """
    number = target_nm / UNITS["torque"][unit].factor
    kind = f"of class {property_class}" if property_class else "even of class 12.9"
    most = most_torque_nm(thread, property_class)
    if target_nm > most:
        hint = f"did you mean {number:.4g} {INCH}?" if unit == FOOT else "check figure and unit."
        return f"{torque(target_nm, unit)} is more than any {said} screw {kind} bears, {most:.0f} N·m: {hint}"
    needed = needed_nm(thread, property_class, nut_factor)
    if target_nm < TENTH * needed:
        likely = target_nm * TWELVE <= most
        hint = f"did you mean {number:.4g} {FOOT}?" if unit == INCH and likely else "check figure and unit."
        weakest = f"of class {property_class}" if property_class else f"even of class {WEAKEST}"
        return f"{torque(target_nm, unit)} is below a tenth of what an {said} screw {weakest} needs, {needed:.1f} N·m: {hint}"
    return None
