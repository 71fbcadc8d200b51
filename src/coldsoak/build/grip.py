"""What a screw clamps: lengths and stiffnesses from a group of the sheet."""

from dataclasses import dataclass

from coldsoak.build.materials import materials
from coldsoak.physics.joint import bolt_stiffness_n_mm, wileman_stiffness_n_mm
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.sheet.thread import Thread, read_thread

# Curve of the member stiffness: steel and grey iron by their own, everything else by the general one; [shigley-9e] table 8-8.
CURVES = {"steel": (0.78715, 0.62873), "cast_iron": (0.77871, 0.61616)}
GENERAL = (0.78952, 0.62914)
STEEL = "steel"
IN_THREAD = (
    0.5  # of the diameter: how far into the thread a screw still stretches; common practice, no source
)


@dataclass(frozen=True)
class Grip:
    """A screw and what lies under its head."""

    thread: Thread
    clamped_mm: float
    material: str
    bolt_n_mm: float
    member_n_mm: float
    guessed: tuple[str, ...] = ()

    @property
    def joint_n_mm(self) -> float:
        """Stiffness of screw and members in series."""
        return 1 / (1 / self.bolt_n_mm + 1 / self.member_n_mm)


def thread_of(group: FastenerGroup) -> Thread | None:
    """Return the thread of a group, None for pipe threads."""
    return read_thread(group.thread)


def grip_of(group: FastenerGroup) -> Grip | None:
    """Return what a group's screws clamp, or None where the sheet does not say enough.

    The screw counts as threaded along all of its grip, which is right for short screws and soft for long ones.
    """
    thread = thread_of(group)
    if thread is None:
        return None
    guessed = []
    if group.clamped_length is not None:
        clamped = group.clamped_length.si
    elif group.length is not None and group.engaged_length is not None:
        clamped = group.length.si - group.engaged_length.si
        guessed.append(f"clamped length taken as {clamped:g} mm, length less engaged length")
    else:
        return None
    if clamped <= 0:
        return None
    material = group.clamped_material or group.into
    if group.clamped_material is None:
        guessed.append(f"clamped material taken as {material.replace('_', ' ')}, that of the thread")
    area = thread.stress_area_mm2
    stretch = clamped + IN_THREAD * thread.diameter_mm
    bolt = bolt_stiffness_n_mm(area, area, 0.0, stretch, materials()[STEEL].modulus_mpa)
    factor, exponent = CURVES.get(material, GENERAL)
    member = wileman_stiffness_n_mm(
        thread.diameter_mm, clamped, materials()[material].modulus_mpa, factor, exponent
    )
    return Grip(thread, clamped, material, float(bolt), float(member), tuple(guessed))
