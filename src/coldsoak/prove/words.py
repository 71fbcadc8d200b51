"""Times, counts and conditions in words."""

import math
from collections.abc import Sequence

from coldsoak.prove.seen import OWN, TIME, Band

FLUIDS = {
    "fluid_temp": "fluid",
    "coolant_temp": "coolant",
    "oil_temp": "engine oil",
    "intake_air_temp": "intake air",
    "ambient_temp": "outside air",
    "case_temp": "case",
    "cooler_temp": "cooler",
}

STEPS = {
    TIME: "Only what comes {} counts: do not switch off in between.",
    "gear": "Drive {}.",
    "vehicle_speed": "Drive with the {}, where the law allows.",
    "engine_speed": "Hold the {}, by gear or selector.",
}


def medium(quantity: str) -> str:
    """Return what a channel measures, in a word.

    >>> medium("fluid_temp"), medium("other_temp")
    ('fluid', 'the reading')
    """
    return FLUIDS.get(quantity, "the reading")


def span(time_s: float) -> str:
    """Return a time as people say it.

    >>> span(40.2), span(1331.0), span(9000.0)
    ('40 s', '22 min', '2 h 30 min')
    """
    if time_s < 90:
        return f"{time_s:.0f} s"
    minutes = round(time_s / 60)
    hours, rest = divmod(minutes, 60)
    return f"{minutes} min" if not hours else f"{hours} h {rest:02d} min" if rest else f"{hours} h"


def longer(time_s: float) -> str:
    """Return a time to be driven, rounded up.

    >>> longer(30.0), longer(1021.0)
    ('1 min', '18 min')
    """
    return span(60.0 * max(math.ceil(time_s / 60.0), 1)) if time_s > 60 else "1 min"


def clock(time_s: float) -> str:
    """Return a moment of a log.

    >>> clock(723.4)
    '12:03'
    """
    return f"{int(time_s) // 60}:{int(time_s) % 60:02d}"


def times(count: int, word: str = "episode") -> str:
    """Return a count with its word.

    >>> times(0), times(1)
    ('0 episodes', '1 episode')
    """
    return f"{count} {word}{'' if count == 1 else 's'}"


def percent(chance: float) -> str:
    """Return a chance in percent, never rounded to none or all.

    >>> percent(0.0034), percent(0.00002), percent(0.165), percent(0.9999)
    ('0.3 %', 'below 0.1 %', '16 %', 'above 99.9 %')
    """
    value = 100.0 * chance
    if value < 0.1:
        return "below 0.1 %"
    if value > 99.9:
        return "above 99.9 %"
    return f"{value:.1f} %" if value < 9.95 or value > 99 else f"{value:.0f} %"


def where(bands: Sequence[Band]) -> str:
    """Return conditions in words, '' for none.

    >>> where([Band(quantity="own_temp", label="fluid", low=70, high=None, unit="degC"),
    ...        Band(quantity="gear", label="gear", low=4, high=None, unit="1")])
    'fluid above 70 °C, in gear 4 or higher'
    """
    return ", ".join(_said(band) for band in bands)


def driving(bands: Sequence[Band]) -> str:
    """Return conditions as they end "drive 18 min more", '' for none.

    >>> driving([Band(quantity="own_temp", label="fluid", low=70, high=None, unit="degC"),
    ...          Band(quantity="vehicle_speed", label="vehicle speed", low=5, high=None, unit="km/h")])
    'with fluid above 70 °C, while moving'
    >>> driving([Band(quantity="gear", label="gear", low=4, high=None, unit="1")])
    'in gear 4 or higher'
    """
    held, rest = [], []
    for band in bands:
        if is_moving(band):
            rest.append("while moving")
        elif is_standing(band) or band.quantity in ("gear", TIME):
            rest.append(_said(band))
        else:
            held.append(str(band))
    return ", ".join([f"with {' and '.join(held)}", *rest] if held else rest)


def _said(band: Band) -> str:
    return "moving" if is_moving(band) else "standing still" if is_standing(band) else str(band)


def is_moving(band: Band) -> bool:
    """Whether a band says no more than that the vehicle moves."""
    return band.quantity == "vehicle_speed" and band.high is None and band.low is not None and band.low <= 10


def is_standing(band: Band) -> bool:
    """Whether a band says that the vehicle stands."""
    return band.quantity == "vehicle_speed" and band.low is None and band.high is not None and band.high < 1


def road_test(bands: Sequence[Band], more_s: float | None, warm_s: float | None) -> tuple[str, ...]:
    """Return the steps of a drive that reaches the old conditions.

    `warm_s` is how long it took before the repair to reach the temperature, None where nobody knows.
    """
    steps = ["Start a log with the same channels as before the repair, and let it run the whole drive."]
    steps += [_step(band, warm_s) for band in sorted(bands, key=lambda one: one.quantity != OWN)]
    if not bands:
        steps.append(
            "Drive as it was driven when it failed: the same kind of roads, speeds and temperatures."
        )
    if more_s is not None and more_s > 0:
        steps.append(f"Hold all of this for {longer(more_s)} in all; it may be split over several drives.")
    steps.append(
        "Note every jump of the reading or of the lamp with its time; on the first one stop, nothing is fixed then."
    )
    steps.append("Run prove again with the new log added; you may look as often as you like.")
    return tuple(steps)


def _step(band: Band, warm_s: float | None) -> str:
    if band.quantity == OWN:
        return _temperature(band, warm_s)
    if is_moving(band):
        return "Keep moving: standing does not count."
    if is_standing(band):
        return "Let it stand with the engine running: moving does not count."
    if band.quantity == "engine_load" and band.high is None:
        return f"Pull: {band}, uphill or with a load."
    return STEPS.get(band.quantity, "Drive with the {}.").format(band)


def _temperature(band: Band, warm_s: float | None) -> str:
    if band.low is None:
        return f"Start cold, best after a night, and drive while the {band.label} is {str(band).removeprefix(band.label).strip()}; let it cool down and start again for more."
    took = f"; before the repair this took {span(warm_s)}" if warm_s is not None and warm_s > 90 else ""
    return (
        f"Warm it up by driving until the {band.label} is {str(band).removeprefix(band.label).strip()}{took}."
    )
