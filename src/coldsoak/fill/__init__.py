"""How much fluid, how hot, and when to open the plug: balance, guard-banded window, what happens at the plug."""

from coldsoak.fill.balance import Balance, balance
from coldsoak.fill.drawing import level_drawing, level_png
from coldsoak.fill.exchange import Exchange, exchange
from coldsoak.fill.ledger import Entry, read_in, read_out
from coldsoak.fill.make import Conditions, plan_fill
from coldsoak.fill.thermometer import Thermometer, thermometer_of
from coldsoak.fill.value import FillPlan
from coldsoak.fill.window import Window, window_of

__all__ = [
    "Balance",
    "Conditions",
    "Entry",
    "Exchange",
    "FillPlan",
    "Thermometer",
    "Window",
    "balance",
    "exchange",
    "level_drawing",
    "level_png",
    "plan_fill",
    "read_in",
    "read_out",
    "thermometer_of",
    "window_of",
]
