"""What one process does with one case: build it, let judge and the detectors loose on it, report."""

import time
import warnings
from collections.abc import Sequence

import numpy as np

from coldsoak.judge.judge import judge
from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.logs.log import Floats, Log

from .cases import HEALTHY_SCENARIOS, LIQUIDS, OTHER, PRACTICE, Built, Case, build
from .detectors import Detector, Series, detectors, minutes
from .kinds import HEALTHY
from .results import Channel, Result

TEACHERS, TEACHER_SEED = 40, 2_000_000_000


_tools: dict[str, Detector] = {}
_rules: list[str] = []


def lessons() -> Floats:
    """Return the `minutes` of healthy practice logs that are no cases: what some detectors learn from."""
    rows = []
    for number in range(TEACHERS):
        case = Case(
            PRACTICE, HEALTHY, TEACHER_SEED + 100 * number, HEALTHY_SCENARIOS[number % len(HEALTHY_SCENARIOS)]
        )
        built = build(case)
        if built is not None:
            names = [c.name for c in built.log.of_quantity(*LIQUIDS)]
            rows += [minutes(_series(built.log, name)) for name in names]
    return np.vstack(rows)


def start(healthy: Floats, not_healthy: Sequence[str]) -> None:
    """Prepare a process: fit what learns from other logs, and let everything compile before it is timed."""
    warnings.simplefilter("ignore")
    _tools.update(detectors(healthy))
    _rules[:] = not_healthy
    built = build(Case(PRACTICE, HEALTHY, TEACHER_SEED - 1000, "healthy"))
    if built is not None:
        _measure(Case(PRACTICE, HEALTHY, 0, "healthy"), built)


def run(case: Case) -> Result | None:
    """Return the result of a case; None where it could not be built."""
    built = build(case, _rules)
    return None if built is None else _measure(case, built)


def _measure(case: Case, built: Built) -> Result:
    began = time.perf_counter()
    judgement = judge(built.log)
    seconds = {"judge": time.perf_counter() - began}
    said = {c.name: c for c in judgement.channels}
    timed = None if case.source == OTHER else seconds  # the detectors are not asked there
    faulty = None if built.faulty is None else _channel(built.log, said[built.faulty], timed)
    healthy = [
        _channel(built.log, said[name], timed if faulty is None else None)
        for name in built.healthy
        if name in said
    ]
    return Result(case, built.cause_kind, built.log.duration_s / 3600.0, faulty, tuple(healthy), seconds)


def _channel(log: Log, said: ChannelJudgement, seconds: dict[str, float] | None) -> Channel:
    """Return what judge said and, where `seconds` is given and the channel is a liquid's, what the others score."""
    ranked = tuple((c.cause, getattr(c, "probability", None)) for c in said.causes)
    causes = tuple((cause, float(p)) for cause, p in ranked if p is not None)
    scores: dict[str, float] = {}
    series = _series(log, said.name)
    if seconds is not None and said.quantity in LIQUIDS and len(series.value_c) > 5:
        for name, detector in _tools.items():
            began = time.perf_counter()
            scores[name] = detector.score(series)
            seconds[name] = seconds.get(name, 0.0) + time.perf_counter() - began
        seconds["channels"] = seconds.get("channels", 0.0) + 1.0
    return Channel(said.quantity, said.verdict, causes, scores)


def _series(log: Log, name: str) -> Series:
    channel = log.channel(name)
    time_s, value_c = log.readings(channel)
    number = ~np.isnan(value_c)
    return Series(time_s[number], value_c[number], channel.resolution)
