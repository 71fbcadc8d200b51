"""The practice vehicle: a simulated drive with known truth and faults that can be put in."""

from coldsoak.practice.drive import Drive, drive_from_speed, invented_drive
from coldsoak.practice.inject import Injected, inject
from coldsoak.practice.logger import Logger
from coldsoak.practice.run import PracticeRun, simulate
from coldsoak.practice.scenarios import Scenario, scenarios
from coldsoak.practice.write import FORMATS, log_text, write_log

__all__ = [
    "FORMATS",
    "Drive",
    "Injected",
    "Logger",
    "PracticeRun",
    "Scenario",
    "drive_from_speed",
    "inject",
    "invented_drive",
    "log_text",
    "scenarios",
    "simulate",
    "write_log",
]
