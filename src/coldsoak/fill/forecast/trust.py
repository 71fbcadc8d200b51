"""Whether a thermometer can be gone by at all: a plug is not opened by one that cannot be true."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from coldsoak.fill.forecast.value import Forecast, Odds

OTHER = "Hold a contact thermometer to the pan below the fluid, on bare metal with paste, and go by that."
BACK_S = 20.0
"""An episode that ended less than this before the last reading is not over yet."""


class Stretch(Protocol):
    """A stretch of a log in which a reading cannot be true."""

    @property
    def end_s(self) -> float:
        """When it ends [s]."""
        ...

    @property
    def sentence(self) -> str:
        """Why it cannot be true."""
        ...


class Judged(Protocol):
    """What was judged of the channel, from the readings up to the moment of the forecast."""

    @property
    def verdict(self) -> str:
        """One of believable, not_believable, undecided."""
        ...

    @property
    def sentence(self) -> str:
        """Why, in one sentence or two."""
        ...

    @property
    def episodes(self) -> Sequence[Stretch]:
        """When it cannot be true."""
        ...


@dataclass(frozen=True)
class Trust:
    """What speaks against a thermometer: `is_false` when what it shows now cannot be true, `why` in words.

    `is_noted` is what nobody can settle yet: it is said beside the forecast and does not change it.
    """

    why: str
    is_false: bool = False
    is_noted: bool = False


def trust_of(judged: Judged, last_s: float, *, probe: bool = False) -> Trust | None:
    """Return what speaks against a thermometer whose last reading is of `last_s`, None where nothing does.

    A `probe` that is held to the pan by hand jumps when it is put on or slips, and has few readings: only what it shows
    now counts against it.
    """
    lasting = [one for one in judged.episodes if one.end_s >= last_s - BACK_S]
    if lasting:
        return Trust(max(lasting, key=lambda one: one.end_s).sentence, is_false=True)
    if probe or judged.verdict == "believable":
        return None
    if judged.verdict == "not_believable":
        return Trust(judged.episodes[-1].sentence if judged.episodes else judged.sentence)
    return Trust(judged.sentence, is_noted=True)


def held_against(forecast: Forecast, trust: Trust | None) -> Forecast:
    """Return a forecast with what speaks against its thermometer said first; never to open the plug by that one."""
    if trust is None:
        return forecast
    why = trust.why.rstrip(".")
    if trust.is_noted:
        if forecast.notes:  # so few readings that nothing can be said of the thermometer yet
            return forecast
        note = f"What judge says of this thermometer so far: {why[:1].lower()}{why[1:]}."
        return forecast.model_copy(update={"notes": (note,)})
    if trust.is_false:
        return forecast.model_copy(
            update={
                "state": "in_doubt",
                "opens_s": Odds(),
                "closes_s": Odds(),
                "again_s": None,
                "chance_opens": 0.0,
                "rate_k_min": 0.0,
                "sentence": f"do not open the plug by this thermometer, what it shows cannot be true: {why}",
                "hints": (OTHER,),
            }
        )
    return in_doubt(forecast, f"this thermometer has shown what cannot be true ({why})")


def in_doubt(forecast: Forecast, why: str) -> Forecast:
    """Return a forecast that leads with a doubt; where the window would be open, another thermometer has to say so."""
    by_it = forecast.sentence
    if forecast.state in ("open_now", "closing"):
        by_it = by_it.replace("open the plug now: ", "the window is open; ").replace(
            "; the window closes", ", and it closes"
        )
        return forecast.model_copy(
            update={
                "state": "in_doubt",
                "sentence": f"do not open the plug by this thermometer alone, {why}; by it {by_it}",
                "hints": (OTHER, *forecast.hints),
            }
        )
    return forecast.model_copy(
        update={"sentence": f"{why}; by it: {by_it}", "hints": (OTHER, *forecast.hints)}
    )
