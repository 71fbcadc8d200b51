"""Friction states and their nut factors: stated by the technician, never assumed."""

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from coldsoak.errors import InputError

ESTIMATED = 1.6  # strongest over weakest preload where friction is estimated; [bossard-technical]
NINETY = 1.6449  # standard deviations within which 90 % of a normal distribution lie; [gum] table G.2


@dataclass(frozen=True)
class Friction:
    """Nut factor between two values, and scatter from bolt to bolt as a share."""

    state: str
    low: float
    high: float
    scatter: float
    comes_from: str
    estimated: bool = True

    @property
    def middle(self) -> float:
        """The value in the middle, by ratio."""
        return math.sqrt(self.low * self.high)

    @property
    def relative_uncertainty(self) -> float:
        """Standard uncertainty of one bolt's factor, as a share: which surface it is, and which bolt."""
        surface = math.log(self.high / self.low) / (2 * NINETY)
        least = math.log(ESTIMATED) / (2 * NINETY) if self.estimated else 0.0
        return max(math.hypot(surface, self.scatter), least)


@cache
def _table() -> dict[str, Friction]:
    table = tomllib.loads(files("coldsoak.build").joinpath("friction.toml").read_text("utf-8"))
    return {
        state: Friction(state, row["low"], row["high"], row["scatter"], row["from"])
        for state, row in table.items()
    }


def friction_of(state: str | None, nut_factor: tuple[float, float] | None = None) -> Friction:
    """Return the friction of a state, or of a nut factor that was measured or looked up.

    >>> friction_of("oiled").middle
    0.18
    >>> friction_of("coated")
    Traceback (most recent call last):
    coldsoak.errors.InputError: for coated threads the nut factor differs from product to product: give it with --nut-factor LOW HIGH (tables hold for dry, oiled, anti_seize).
    """
    known = _table()
    if nut_factor is not None:
        low, high = nut_factor
        if not 0.03 <= low <= high <= 0.6:
            raise InputError(
                f"a nut factor from {low:g} to {high:g} is none: give two values between 0.03 and 0.6, the lower first."
            )
        scatter = known[state].scatter if state in known else known["dry"].scatter
        return Friction(state or "as stated", low, high, scatter, "as stated", estimated=False)
    if state is None:
        raise InputError(f"state the friction of thread and head: {', '.join(known)}, or give a nut factor.")
    if state not in known:
        words = state.replace("_", " ")
        raise InputError(
            f"for {words} threads the nut factor differs from product to product: give it with --nut-factor LOW HIGH "
            f"(tables hold for {', '.join(known)})."
        )
    return known[state]
