"""The legs an invented drive is made of."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from coldsoak.errors import InputError


@dataclass(frozen=True)
class Leg:
    """A stretch that is driven towards one speed and then held there."""

    duration_s: float
    speed_kmh: float
    pace_m_s2: float = 1.2
    grade: float = 0.0
    engine_off: bool = False
    in_park: bool = False


def _standing(rng: np.random.Generator, low_s: float, high_s: float) -> Leg:
    return Leg(rng.uniform(low_s, high_s), 0.0, rng.uniform(1.2, 2.2))


def _idle(rng: np.random.Generator) -> list[Leg]:
    return [Leg(rng.uniform(20, 150), 0.0, 1.5, in_park=bool(rng.random() < 0.5))]


def _city(rng: np.random.Generator) -> list[Leg]:
    parts: list[Leg] = []
    for _ in range(rng.integers(3, 8)):
        parts.append(
            Leg(rng.uniform(12, 45), rng.uniform(25, 55), rng.uniform(0.8, 2.0), rng.normal(0, 0.008))
        )
        if rng.random() < 0.4:
            parts.append(Leg(rng.uniform(6, 20), rng.uniform(12, 35), rng.uniform(0.7, 1.5)))
        parts.append(_standing(rng, 6, 45))
    return parts


def _country(rng: np.random.Generator) -> list[Leg]:
    return [
        Leg(rng.uniform(20, 70), rng.uniform(55, 95), rng.uniform(0.5, 1.3), rng.normal(0, 0.02))
        for _ in range(rng.integers(3, 7))
    ]


def _motorway(rng: np.random.Generator) -> list[Leg]:
    cruise = rng.uniform(95, 130)
    return [
        Leg(
            rng.uniform(30, 120),
            max(cruise + rng.normal(0, 10), 60.0),
            rng.uniform(0.4, 1.0),
            rng.normal(0, 0.01),
        )
        for _ in range(rng.integers(3, 7))
    ]


def _hill(rng: np.random.Generator) -> list[Leg]:
    grade = rng.uniform(0.04, 0.09)
    up = [
        Leg(rng.uniform(25, 60), rng.uniform(35, 65), rng.uniform(0.5, 1.0), grade + rng.normal(0, 0.01))
        for _ in range(rng.integers(3, 7))
    ]
    down = [Leg(rng.uniform(20, 45), rng.uniform(35, 60), 0.8, -grade) for _ in range(rng.integers(1, 4))]
    return up + down


def _halt(rng: np.random.Generator) -> list[Leg]:
    off = Leg(rng.uniform(40, 240), 0.0, 1.5, engine_off=True, in_park=True)
    return [_standing(rng, 10, 20), off, Leg(rng.uniform(8, 25), 0.0, in_park=True)]


def _maneuver(rng: np.random.Generator) -> list[Leg]:
    return [
        Leg(rng.uniform(5, 14), rng.uniform(0, 12), rng.uniform(0.5, 1.5)) for _ in range(rng.integers(3, 7))
    ]


def _lights(rng: np.random.Generator) -> list[Leg]:
    """Town driving from one red light to the next, ten seconds to a minute and a half each."""
    return [
        Leg(rng.uniform(15, 50), rng.uniform(30, 60), rng.uniform(0.8, 1.8), rng.normal(0, 0.008)),
        _standing(rng, 10, 90),
    ]


def _stand(rng: np.random.Generator) -> list[Leg]:
    return [Leg(rng.uniform(240, 600), 0.0, 1.5, in_park=bool(rng.random() < 0.5))]


def _pass(rng: np.random.Generator) -> list[Leg]:
    """Up a long hill under load, then down the other side with the foot off."""
    grade, down = rng.uniform(0.05, 0.08), rng.uniform(0.04, 0.07)
    return [
        Leg(rng.uniform(180, 420), rng.uniform(50, 80), rng.uniform(0.4, 0.8), grade),
        Leg(rng.uniform(180, 420), rng.uniform(50, 80), 0.6, -down),
    ]


LEG_KINDS: Mapping[str, tuple[float, Callable[[np.random.Generator], list[Leg]]]] = {
    "idle": (0.10, _idle),
    "city": (0.34, _city),
    "country": (0.22, _country),
    "motorway": (0.14, _motorway),
    "hill": (0.10, _hill),
    "halt": (0.05, _halt),
    "maneuver": (0.05, _maneuver),
    # of scenarios of their own only
    "lights": (0.0, _lights),
    "stand": (0.0, _stand),
    "pass": (0.0, _pass),
}


def legs(
    rng: np.random.Generator, duration_s: float, kinds: Sequence[str] | None = None, first: str | None = None
) -> list[Leg]:
    """Return legs that fill `duration_s`, after a short idle, drawn from `kinds` (each equally likely, or all).

    `first` is the kind that comes before all others.
    """
    chosen = list(LEG_KINDS) if kinds is None else list(kinds)
    for kind in [*chosen, *([first] if first else [])]:
        if kind not in LEG_KINDS:
            raise InputError(f"There is no kind of leg {kind!r}; there are {', '.join(LEG_KINDS)}.")
    weight = np.array([LEG_KINDS[kind][0] if kinds is None else 1.0 for kind in chosen])
    parts = [Leg(rng.uniform(5, 60), 0.0, in_park=True)]
    parts += LEG_KINDS[first][1](rng) if first else []
    while sum(part.duration_s for part in parts) < duration_s:
        parts += LEG_KINDS[chosen[rng.choice(len(chosen), p=weight / weight.sum())]][1](rng)
    return parts
