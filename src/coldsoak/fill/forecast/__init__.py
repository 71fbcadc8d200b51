"""When the window opens and closes, from the readings so far."""

from coldsoak.fill.forecast.forecaster import Forecaster
from coldsoak.fill.forecast.temp_window import TempWindow, parse_window, temp_window
from coldsoak.fill.forecast.value import Forecast, Odds

__all__ = ["Forecast", "Forecaster", "Odds", "TempWindow", "parse_window", "temp_window"]
