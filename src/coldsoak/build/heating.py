"""Steel screws in parts that expand more: what the preload does when all gets warm, and what is left afterwards."""

from coldsoak.build.grip import STEEL, grip_of
from coldsoak.build.materials import materials, yield_mpa
from coldsoak.physics.joint import preload_from_heating_n
from coldsoak.sheet.fastener import FastenerGroup
from coldsoak.value import Value


class Heating(Value):
    """Preload at another temperature, and what is lost for good once the screw has yielded."""

    warmer_k: float
    change_n: float
    hot_n: float
    left_n: float
    sentence: str


def heating_of(group: FastenerGroup, preload_n: float, warmer_k: float) -> Heating | None:
    """Return what a change of temperature does to the preload, or None where the sheet does not say enough.

    The screw stays elastic until its yield strength over its stress area; what would go beyond is lost when all is cold
    again. Creep of the case and setting of surfaces are not in it.
    """
    grip = grip_of(group)
    if grip is None:
        return None
    more = materials()[grip.material].expansion_ppm_k - materials()[STEEL].expansion_ppm_k
    change = float(preload_from_heating_n(more, warmer_k, grip.clamped_mm, grip.bolt_n_mm, grip.member_n_mm))
    hot = max(preload_n + change, 0.0)
    left = preload_n
    if group.property_class is not None:
        most = yield_mpa()[group.property_class] * grip.thread.stress_area_mm2
        lost = max(hot - most, 0.0)
        hot, left = min(hot, most), preload_n - lost
    word = "gains" if change >= 0 else "loses"
    warm = "warmer" if warmer_k >= 0 else "colder"
    sentence = f"{abs(warmer_k):g} K {warm}, a steel screw in {grip.material.replace('_', ' ')} {word} {abs(change) / 1000:.2f} kN"
    lost_words = f"; cold again it has {left / 1000:.1f} kN left" if left < preload_n - 1 else ""
    return Heating(
        warmer_k=warmer_k, change_n=change, hot_n=hot, left_n=left, sentence=f"{sentence}{lost_words}."
    )
