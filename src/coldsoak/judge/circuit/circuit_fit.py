"""Least squares in measured ohms: how much resistance in series and how much leakage the readings call for."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldsoak.judge.circuit.inversion_values import CircuitModel, Limits, ModelKind
from coldsoak.logs.log import Floats
from coldsoak.physics.circuit import with_leakage_ohm, with_series_ohm

SIGMAS_95 = 1.96  # 95 % of a normal distribution
STEPS = 60
SETTLED = 1e-10


@dataclass(frozen=True)
class Measured:
    """Pairs as ohms: what the module saw, what the sensor has at the true temperature, and how unsure both are.

    `own_ohm` and `true_ohm` are standard uncertainties of each reading and of each true temperature, independent of one
    another; `curve_share` (at each true temperature) and `pullup_share` are standard, as shares of the resistance, and
    common to all pairs.
    """

    seen_ohm: Floats
    sensor_ohm: Floats
    own_ohm: Floats
    true_ohm: Floats
    curve_share: Floats
    pullup_share: float

    def whitening(self, leak_s: float, model_ohm: Floats) -> Floats:
        """Return the matrix that makes residuals of a model independent and of unit variance."""
        passed = 1 / (1 + leak_s * self.sensor_ohm) ** 2  # how much of a change of the sensor the module sees
        curve = self.curve_share * passed * self.sensor_ohm
        pullup = self.pullup_share * model_ohm
        covariance = (
            np.diag(self.own_ohm**2 + (passed * self.true_ohm) ** 2)
            + np.outer(curve, curve)
            + np.outer(pullup, pullup)
        )
        return np.linalg.inv(np.linalg.cholesky(covariance))


def circuit_ohm(sensor_ohm: Floats, series_ohm: float, leak_s: float) -> Floats:
    """Return what the module sees of a sensor with leakage beside it and resistance in the way [ohm]."""
    leaking = sensor_ohm if leak_s == 0 else with_leakage_ohm(sensor_ohm, 1 / leak_s)
    return np.asarray(with_series_ohm(leaking, series_ohm))


def fit(kind: ModelKind, measured: Measured) -> CircuitModel | None:
    """Fit one model, or return None where it would need a resistance below 0 or has more unknowns than pairs."""
    use = {"none": [], "series": [0], "leakage": [1], "both": [0, 1]}[kind]
    count = len(measured.seen_ohm)
    if len(use) > count:
        return None
    unit_s = 1 / float(measured.sensor_ohm.max())  # leakage is fitted as conductance, in this unit
    best: tuple[float, NDArray[np.float64], Floats] | None = None
    for start in _starts(kind, measured, unit_s):
        found = _descend(start, use, measured, unit_s)
        if found is not None and (best is None or found[0] < best[0]):
            best = found
    if best is None:
        return None
    chi2, at, root = best
    spread = SIGMAS_95 * np.sqrt(np.diag(np.linalg.inv(root.T @ root))) if use else np.zeros(0)
    series = leakage = None
    if 0 in use:
        value, width = float(at[0]), float(spread[0])
        series = Limits(value_ohm=value, low_ohm=max(value - width, 0.0), high_ohm=value + width)
    if 1 in use:
        value, width = float(at[1]) * unit_s, float(spread[-1]) * unit_s
        high_ohm = 1 / (value - width) if value > width else float("inf")
        leakage = Limits(value_ohm=1 / value, low_ohm=1 / (value + width), high_ohm=high_ohm)
    freedom = count - len(use)
    return CircuitModel(
        kind=kind,
        series=series,
        leakage=leakage,
        chi2=chi2,
        freedom=freedom,
        p_value=_p_value(chi2, freedom) if freedom else None,
    )


def _starts(kind: ModelKind, measured: Measured, unit_s: float) -> list[NDArray[np.float64]]:
    series = max(float(np.mean(measured.seen_ohm - measured.sensor_ohm)), 0.0)
    leak = max(float(np.mean(1 / measured.seen_ohm - 1 / measured.sensor_ohm)) / unit_s, 0.0)
    cold = int(np.argmax(measured.sensor_ohm))
    cold_leak = max(float(1 / measured.seen_ohm[cold] - 1 / measured.sensor_ohm[cold]) / unit_s, 0.0)
    hot = int(np.argmin(measured.sensor_ohm))
    hot_series = max(float(measured.seen_ohm[hot] - measured.sensor_ohm[hot]), 0.0)
    starts = {
        "none": [(0.0, 0.0)],
        "series": [(series, 0.0)],
        "leakage": [(0.0, leak), (0.0, cold_leak)],
        "both": [(hot_series, cold_leak), (series, 0.0), (0.0, leak)],
    }[kind]
    return [np.array(start) for start in starts]


def _descend(
    at: NDArray[np.float64], use: list[int], measured: Measured, unit_s: float
) -> tuple[float, NDArray[np.float64], Floats] | None:
    """Gauss–Newton from one start: chi-square, parameters and whitened slopes there; None where it ends below 0."""
    sensor = measured.sensor_ohm
    for _ in range(STEPS):
        leak_s = float(at[1]) * unit_s
        model = circuit_ohm(sensor, float(at[0]), leak_s)
        white = measured.whitening(leak_s, model)
        slopes = np.stack([np.ones_like(sensor), -unit_s * (sensor / (1 + leak_s * sensor)) ** 2], axis=1)[
            :, use
        ]
        root = white @ slopes
        residual = white @ (measured.seen_ohm - model)
        if not use:
            return float(residual @ residual), at, root
        step = np.linalg.lstsq(root, residual, rcond=None)[0]
        moved = at.copy()
        moved[use] += step
        if (moved < 0).any():  # back to the edge; a model that stays there is a simpler one
            moved = np.maximum(moved, 0.0)
            if np.allclose(moved, at, rtol=SETTLED, atol=SETTLED):
                return None
        elif np.allclose(moved, at, rtol=SETTLED, atol=SETTLED):
            return (float(residual @ residual), at, root) if (at[use] > 0).all() else None
        at = moved
    return None


def _p_value(chi2: float, freedom: int) -> float:
    from scipy.special import chdtrc  # noqa: PLC0415 - only this rare computation needs it

    return float(chdtrc(freedom, chi2))
