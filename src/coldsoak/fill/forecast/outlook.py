"""From what is believed to what happens with the window: opening, closing, being missed."""

from dataclasses import dataclass

import numpy as np

from coldsoak.fill.forecast.belief import Belief
from coldsoak.fill.forecast.ceiling import Ceiling
from coldsoak.fill.forecast.cool_down import cooled_to
from coldsoak.fill.forecast.crossing import (
    Ahead,
    look_ahead,
    mean_passes_s,
    passed_downward,
    passed_upward,
    quantiles_s,
)
from coldsoak.fill.forecast.hypotheses import AHEAD_S, Floats
from coldsoak.fill.forecast.past import Past
from coldsoak.fill.forecast.steps import Steps
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.value import Odds, State

CLOSING_S = 180.0
UNLIKELY = 0.1
EVEN = 0.5
SOON = int(np.searchsorted(AHEAD_S, 60.0))
MORE_HEAT, LESS_HEAT = 1.3, 0.7
NEVER = Odds()


@dataclass(frozen=True)
class Outlook:
    """State of the window, odds, and how much sooner or later it would be with more or less heat."""

    state: State
    falling: bool
    rate_k_min: float
    opens_s: Odds
    closes_s: Odds
    again_s: Odds | None
    chance_opens: float
    settles_c: float
    sooner_with_more_heat_s: float | None = None
    later_with_less_heat_s: float | None = None


@dataclass(frozen=True)
class _Scene:
    """All that an outlook is made from."""

    belief: Belief
    ahead: Ahead
    ceiling: Ceiling
    window: TempWindow
    low_c: float
    over_c: float
    reading_c: float
    now_s: float
    falling: bool
    rate_k_min: float

    def gained_s(self, level_c: float, heat: float) -> float | None:
        """Return how much sooner a level is reached with `heat` times the heat (below 0: later); None if not at all."""
        usual, other = (mean_passes_s(self.ahead, level_c, factor) for factor in (1.0, heat))
        return None if usual is None or other is None else usual - other

    def up(self, level_c: float) -> Floats:
        """Return the chances of having reached a level from below, thermostat and all."""
        return passed_upward(self.ahead, level_c) * self.ceiling.chance_past(level_c, self.reading_c)

    def odds(self, chance: Floats) -> Odds:
        """Return odds in log time, of what has not happened by now."""
        times = quantiles_s(self._not_yet(chance), self.ahead.band)
        return Odds.at(None if time is None else max(self.belief.time_s + time, self.now_s) for time in times)

    def _not_yet(self, chance: Floats) -> Floats:
        waited_s = self.now_s - self.belief.time_s
        if waited_s <= 0.0:
            return chance
        past = float(np.interp(waited_s, np.concatenate([[0.0], AHEAD_S]), np.concatenate([[0.0], chance])))
        return np.clip((chance - past) / max(1.0 - past, 1e-6), 0.0, 1.0)

    def settles_c(self) -> float:
        """Return where the fluid is expected to be at the end of what is looked at."""
        return float(self.ahead.mean_c()[-1])


def outlook(
    belief: Belief,
    scale: Steps,
    ceiling: Ceiling,
    past: Past,
    window: TempWindow,
    reading_c: float,
    now_s: float,
) -> Outlook:
    """Return what happens with the window, as of `now_s`."""
    ahead = look_ahead(belief)
    mean = ahead.mean_c()
    fluid_c = float((belief.weight() * (belief.mean[:, 0] + belief.air_c)).sum())
    rate = 0.0 if ceiling.held else float(mean[SOON] - fluid_c) / float(AHEAD_S[SOON]) * 60.0
    low_c, over_c = scale.at_or_above(window.low_c), scale.above(window.high_c)
    falling = rate < 0.0 and float(passed_downward(ahead, fluid_c - 2.0)[-1]) > EVEN
    scene = _Scene(belief, ahead, ceiling, window, low_c, over_c, reading_c, now_s, falling, rate)
    if past.now == "inside":
        return _inside(scene, past)
    return _below(scene, past) if past.now == "below" else _above(scene, past)


def _inside(scene: _Scene, past: Past) -> Outlook:
    up, down = scene.up(scene.over_c), passed_downward(scene.ahead, scene.low_c)
    leaves = np.maximum(up, down) if scene.falling else up
    closes = scene.odds(leaves)
    later = None if scene.falling else scene.gained_s(scene.over_c, LESS_HEAT)
    near = closes.p50 is not None and closes.p50 - scene.now_s < CLOSING_S
    opened_s = past.opened_s if past.opened_s is not None else scene.now_s
    return Outlook(
        state="closing" if near else "open_now",
        falling=scene.falling,
        rate_k_min=scene.rate_k_min,
        opens_s=Odds.sure(opened_s),
        closes_s=closes,
        again_s=None,
        chance_opens=1.0,
        settles_c=scene.settles_c(),
        later_with_less_heat_s=None if later is None else -later,
    )


def _below(scene: _Scene, past: Past) -> Outlook:
    up = scene.up(scene.low_c)
    chance = float(up[-1])
    state: State = "not_yet" if chance >= UNLIKELY else "will_not_open"
    if past.closed_s is not None and scene.falling:
        state = "missed"
    opens = scene.odds(up)
    return Outlook(
        state=state,
        falling=scene.falling,
        rate_k_min=scene.rate_k_min,
        opens_s=opens,
        closes_s=scene.odds(scene.up(scene.over_c)).not_before(opens),
        again_s=None,
        chance_opens=chance,
        settles_c=scene.settles_c(),
        sooner_with_more_heat_s=scene.gained_s(scene.low_c, MORE_HEAT),
    )


def _above(scene: _Scene, past: Past) -> Outlook:
    if scene.falling:
        down = passed_downward(scene.ahead, scene.over_c)
        opens = scene.odds(down)
        return Outlook(
            state="not_yet" if float(down[-1]) >= UNLIKELY else "missed",
            falling=True,
            rate_k_min=scene.rate_k_min,
            opens_s=opens,
            closes_s=scene.odds(passed_downward(scene.ahead, scene.low_c)).not_before(opens),
            again_s=None,
            chance_opens=float(down[-1]),
            settles_c=scene.settles_c(),
        )
    was_open = past.opened_s is not None and past.closed_s is not None
    return Outlook(
        state="missed",
        falling=False,
        rate_k_min=scene.rate_k_min,
        opens_s=Odds.sure(past.opened_s) if past.opened_s is not None else NEVER,
        closes_s=Odds.sure(past.closed_s) if past.closed_s is not None else NEVER,
        again_s=cooled_to(scene.belief, scene.window.high_c),
        chance_opens=1.0 if was_open else 0.0,
        settles_c=scene.settles_c(),
    )
