"""Readings in, one by one; a forecast out after each."""

import math

from coldsoak.errors import InputError
from coldsoak.fill.forecast.belief import Belief
from coldsoak.fill.forecast.ceiling import Ceiling
from coldsoak.fill.forecast.engine import Engine
from coldsoak.fill.forecast.hypotheses import hypotheses
from coldsoak.fill.forecast.motion import Motion
from coldsoak.fill.forecast.outlook import outlook
from coldsoak.fill.forecast.past import Past
from coldsoak.fill.forecast.standing import Standing
from coldsoak.fill.forecast.steps import Steps
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.forecast.trust import Trust, held_against, in_doubt
from coldsoak.fill.forecast.value import Forecast
from coldsoak.fill.forecast.words import span, words

LEAST_C, MOST_C = -60.0, 250.0
SCALE_C = (-40.0, 215.0)  # one byte less 40, SAE J1979: its ends are what a broken circuit shows
SURPRISE = -7.0
SURPRISES = 3
LONG_GAP_S = 1800.0
FAULT_S = 300.0  # how long what was believed before a fault is still good for
WILD_K = 5.0


class Forecaster:
    """Follows one thermometer; every reading moves the forecast of one window.

    `quantity` is a key of the data dictionary and chooses what is known beforehand. Readings that nothing explains are
    left out; three in a row start the belief anew, and what was believed before them is taken up again when the
    readings come back to it.

    >>> forecaster = Forecaster(TempWindow(low_c=35.0, high_c=45.0), "fluid_temp")
    >>> for k in range(120):
    ...     forecast = forecaster.update(2.0 * k, 20.0 + k // 20)
    >>> forecast.state, forecast.readings
    ('not_yet', 120)
    """

    def __init__(
        self,
        window: TempWindow,
        quantity: str = "fluid_temp",
        *,
        channel: str | None = None,
        without: tuple[str, ...] = (),
    ) -> None:
        self.window = window
        self.quantity = quantity
        self.channel = channel
        self._model = hypotheses(quantity, without)
        self._scale = Steps()
        self._belief: Belief | None = None
        self._ceiling = Ceiling(quantity)
        self._past = Past()
        self._standing = Standing()
        self._before: Belief | None = None
        self._fault_s = -math.inf
        self._surprises = 0
        self._readings = 0
        self._time_s = -math.inf
        self._reading_c = math.nan
        self._cold_c: float | None = None
        self._engine = Engine()
        self._motion = Motion()

    def update(
        self,
        time_s: float,
        value_c: float,
        *,
        engine_speed_rpm: float | None = None,
        ambient_c: float | None = None,
        vehicle_speed_kmh: float | None = None,
    ) -> Forecast:
        """Take in one reading and return the forecast after it.

        An engine speed tells whether there is heat at all, and when it begins; an ambient temperature tells what a warm
        unit cools towards; a vehicle speed tells idling from driving.
        """
        self.add(
            time_s,
            value_c,
            engine_speed_rpm=engine_speed_rpm,
            ambient_c=ambient_c,
            vehicle_speed_kmh=vehicle_speed_kmh,
        )
        return self.forecast()

    def add(
        self,
        time_s: float,
        value_c: float,
        *,
        engine_speed_rpm: float | None = None,
        ambient_c: float | None = None,
        vehicle_speed_kmh: float | None = None,
    ) -> None:
        """Take in one reading without making a forecast."""
        self._check(time_s, value_c)
        self._readings += 1
        gap_s = time_s - self._time_s
        self._time_s = time_s
        changes = self._engine.changes(time_s, engine_speed_rpm)
        self._motion.add(time_s, vehicle_speed_kmh)
        if self._belief is None or changes or gap_s > LONG_GAP_S or self._tells_nothing():
            self._before = None
            self._accept(time_s, value_c)
            self._restart(time_s, value_c, ambient_c)
        elif self._fits(self._belief, time_s, value_c):
            self._surprises = 0
            self._accept(time_s, value_c)
        else:
            self._surprised(time_s, value_c, ambient_c)
        if self._belief is not None:
            self._belief.lean(self._motion.idles)
            self._belief.learn_air(ambient_c)

    def _fits(self, belief: Belief, time_s: float, value_c: float) -> bool:
        """Take a reading in unless nothing explains it; say whether it was no surprise."""
        if not belief.move(time_s):
            return True
        look = belief.look(value_c, self._scale.step_c, self._scale.noise_k)
        if look.log_chance > SURPRISE:
            belief.learn(look)
            return True
        return False

    def _surprised(self, time_s: float, value_c: float, ambient_c: float | None) -> None:
        """Leave a surprise out, go back to what was believed before a fault, or believe what came three times."""
        before = self._before
        self._surprises += 1
        if before is not None and time_s - self._fault_s <= FAULT_S and self._fits(before, time_s, value_c):
            self._belief, self._before, self._surprises = before, None, 0
        elif self._surprises >= SURPRISES:
            if self._belief is not None and self._belief.count > SURPRISES:
                self._before, self._fault_s = self._belief, time_s
            elif before is None:
                self._cold_c = None  # the log began with a fault
            self._restart(time_s, value_c, ambient_c)
        elif abs(value_c - self._reading_c) > WILD_K:
            return
        self._accept(time_s, value_c)

    def _accept(self, time_s: float, value_c: float) -> None:
        """Let a reading count as what the thermometer shows."""
        self._reading_c = value_c
        self._scale.add(value_c)
        self._past.add(time_s, value_c, self.window)
        self._standing.add(time_s, value_c)
        self._ceiling.add(time_s, value_c)

    def forecast(self, at_s: float | None = None) -> Forecast:
        """Return the forecast as of `at_s`, which is not before the last reading (when not given: that one)."""
        if self._belief is None:
            raise InputError("There is no reading yet to forecast from: record a few seconds first.")
        now_s = self._time_s if at_s is None else at_s
        if now_s < self._time_s:
            raise InputError(
                f"The last reading is of {self._time_s:.1f} s and the forecast is asked for {now_s:.1f} s: give a later time."
            )
        seen = outlook(
            self._belief, self._scale, self._ceiling, self._past, self.window, self._reading_c, now_s
        )
        said = words(seen, self.window, now_s)
        forecast = Forecast(
            at_s=now_s,
            channel=self.channel,
            quantity=self.quantity,
            window=self.window,
            reading_c=self._reading_c,
            rate_k_min=round(self._standing.shown_rate(seen.rate_k_min, self._scale.step_c), 2),
            state=seen.state,
            opens_s=seen.opens_s,
            closes_s=seen.closes_s,
            again_s=seen.again_s,
            chance_opens=round(seen.chance_opens, 4),
            sentence=said.sentence,
            hints=said.hints,
            readings=self._readings,
            cautions=said.cautions,
        )
        if not SCALE_C[0] < self._reading_c < SCALE_C[1]:
            why = f"it reads {self._reading_c:g} °C, the end of the scale, as a broken or shorted wire does"
            return held_against(forecast, Trust(why, is_false=True))
        return in_doubt(forecast, self._stuck()) if self._seems_stuck() else forecast

    def _seems_stuck(self) -> bool:
        still = (
            self._engine.running is False or self._ceiling.held
        )  # a thermostat holds coolant where it opens
        return not still and self._standing.stands_out

    def _stuck(self) -> str:
        stood, usual = self._standing.stood_s, self._standing.usual_s
        return (
            f"it has stood at {self._reading_c:g} °C for {span(stood)} and moved on within {span(usual)} before, as one that "
            "has stuck or come off"
        )

    def _check(self, time_s: float, value_c: float) -> None:
        if not (math.isfinite(time_s) and math.isfinite(value_c) and LEAST_C <= value_c <= MOST_C):
            raise InputError(
                f"A reading of {value_c:g} °C at {time_s:g} s cannot be used: give seconds, and a temperature from {LEAST_C:.0f} to {MOST_C:.0f} °C."
            )
        if time_s < self._time_s:
            raise InputError(
                f"The reading of {time_s:g} s comes after one of {self._time_s:g} s: hand readings in as they were taken."
            )

    def _tells_nothing(self) -> bool:
        """Say whether a cold unit stands with its engine off: its flat readings say nothing of the warm-up to come."""
        return self._engine.running is False and self._belief is not None and self._belief.cold

    def _restart(self, time_s: float, value_c: float, ambient_c: float | None) -> None:
        air_c = ambient_c if ambient_c is not None else self._cold_c
        self._belief = Belief(
            self._model, time_s, value_c, self._scale.step_c, air_c, running=self._engine.running
        )
        if self._cold_c is None and self._belief.cold:
            self._cold_c = value_c
        self._surprises = 0
