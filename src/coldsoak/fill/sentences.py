"""The first sentence of a fill plan, and the one thing to do next."""

from coldsoak.fill.balance import Balance
from coldsoak.fill.window import Reading, Window
from coldsoak.fill.words import (
    at_least,
    at_most,
    degree_span,
    degrees,
    litre_band,
    litres,
    millimetres,
    percent,
)
from coldsoak.sheet.fluid import Fluid

LEAST_L = 0.05
READ_BY = {
    "overflow": "open the level plug",
    "window": "open the level plug",
    "dipstick": "read the dipstick",
    "sight_glass": "read the sight glass",
}


def sentence(fluid: Fluid, done: Balance, window: Window, *, quarts_first: bool) -> str:
    """Return how much goes in, when, and at which reading the level counts."""
    said = {"quarts_first": quarts_first}
    act = READ_BY[fluid.level.method]
    if fluid.level.engine == "running":
        pour = (
            f"Put {litres(done.pour_l, **said)} in before the engine is started, then about {litre_band(done.rest_l, **said)} "
            f"with it running{'' if done.start.safe else ', within the first minute'}"
        )
        if done.rest_l.high < LEAST_L and done.pour_l <= 0:
            pour = "Nothing more goes in"
        elif done.pour_l <= 0:
            pour = f"Put about {litre_band(done.rest_l, **said)} in with the engine running"
    else:
        pour = f"Put {litres(done.pour_l, **said)} in with the engine off, then about {litre_band(done.rest_l, **said)} in small steps"
    if done.excess_l > 0:
        pour = f"About {litres(done.excess_l, **said)} too much has gone in: do not start the engine, let that out first and note it"
    elif done.start.is_guess and done.pour_l > 0:
        pour = (
            f"Measure or weigh what came out before anything is poured: {litre_band(done.missing_l, **said)} missing is too "
            f"uncertain, and {litres(done.pour_l, **said)} before the start may be {_may_be(done)}"
        )
    if window.from_c is None or window.to_c is None:
        return (
            f"{pour}; the {window.thermometer.label} cannot make sure of the window, {degree_span(window.low_c, window.high_c)}: "
            f"at best the fluid is inside with {percent(window.best_chance)}."
        )
    return (
        f"{pour}; {act} while the {window.thermometer.label} reads {degree_span(window.from_c, window.to_c)}."
    )


def _may_be(done: Balance) -> str:
    """Say what a start fill may do that is sure of neither end."""
    return "too much" if done.start.safe else "too little for the pump, or too much"


def next_step(fluid: Fluid, done: Balance, window: Window, *, quarts_first: bool) -> str:
    """Return the one thing to do next."""
    if done.excess_l > 0:
        return f"Next: engine off, let about {litres(done.excess_l, quarts_first=quarts_first)} out, measure it, and plan again."
    if done.start.is_guess and done.pour_l > 0:
        return "Next: measure or weigh what came out, and plan again; nothing is poured by a guess."
    if window.reading is not None:
        return _by_reading(fluid, window, window.reading)
    if window.from_c is None:
        return (
            "Next: get a better thermometer; a fine probe in the stream, or a contact probe on bare metal with paste, is "
            "surer."
        )
    return _pour_or_warm(fluid, done, quarts_first=quarts_first)


def _pour_or_warm(fluid: Fluid, done: Balance, *, quarts_first: bool) -> str:
    if done.pour_l > 0:
        return f"Next: read the bottle once more, then pour {litres(done.pour_l, quarts_first=quarts_first)} in, engine off."
    if fluid.level.engine == "running":
        return "Next: start the engine, go once through all ranges, and watch the thermometer."
    return "Next: see that the thermometer reads inside the window, then open the plug."


def _by_reading(fluid: Fluid, window: Window, read: Reading) -> str:
    act = READ_BY[fluid.level.method]
    at = (
        f"{degrees(read.reading_c)} on the {window.thermometer.label} means fluid at {degrees(read.fluid_c)} ± "
        f"{1.96 * read.uncertainty_k:.1f} K"
    )
    if read.state == "inside":
        return f"{at}: inside the window with {percent(read.chance_inside)}. Next: {act} now."
    if window.from_c is None and 1.96 * read.uncertainty_k > window.high_c - window.low_c:
        return f"{at}, which is too unsure to be used for anything. Next: use a surer thermometer."
    warm = "let it warm up" if read.side == "too cold" else "let it cool"
    if read.state == "outside":
        return f"{at}: outside the window, {read.side}. Next: do not set the level, {warm}."
    return (
        f"{at}: not to be known whether that is inside; the level would be set wrong with {percent(read.chance_wrong)}"
        f"{_worst(read)}. Next: {_way_out(window, read)}."
    )


def _worst(read: Reading) -> str:
    """Return the largest level error that is still likely, in litres and millimetres."""
    worst = max(
        (
            (abs(read.low_error_l), read.low_error_mm, "too low"),
            (abs(read.high_error_l), read.high_error_mm, "too high"),
        ),
        key=lambda one: one[0],
    )
    height = f", {millimetres(abs(worst[1]))}" if worst[1] is not None else ""
    return f", by up to {worst[0]:.2f} L{height} {worst[2]}" if worst[0] > 0 else ""


def _way_out(window: Window, read: Reading) -> str:
    if window.from_c is None or window.to_c is None:
        return "use a surer thermometer"
    if read.reading_c < window.from_c:
        return f"wait until it reads {at_least(window.from_c)}"
    return f"let it cool until it reads {at_most(window.to_c)}"
