"""Viscosity index: how little an oil thins from 40 to 100 °C, on the scale of two old reference oils."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import FloatArray, Floats, require, same_kind

# Kinematic viscosity at 100 °C from which each row holds, then the three coefficients of L and the three of H, the
# viscosities at 40 °C of the reference oils of index 0 and 100; [astm-d2270] coefficients of the quadratic equations.
_SEGMENTS = (
    (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (4.4, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (5.0, 0.1010, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
    (7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (12.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (15.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (18.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
    (22.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
    (28.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
    (40.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
    (55.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
    (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)
HUNDRED = 100.0
"""Index of the second reference oil [1]; [astm-d2270] procedure A."""
POWER_SCALE = 0.00715
"""Scale of the index above 100 [1]; [astm-d2270] procedure B."""
LEAST_MM2_S = 2.0
"""Least viscosity at 100 °C that has an index [mm²/s]; [astm-d2270]."""

_SHEET = "take both viscosities from the data sheet of the fluid, in mm²/s (cSt)"


def viscosity_index(viscosity_40c_mm2_s: Floats, viscosity_100c_mm2_s: Floats) -> Floats:
    """Viscosity index of an oil, not rounded.

    Formula
    -------
    VI = 100·(L − U)/(L − H) where U > H, else 100 + (10^N − 1)/0.00715 with N = log(H/U)/log Y; L and H by quadratic
    equations in Y

    Parameters
    ----------
    viscosity_40c_mm2_s : float or array
        Kinematic viscosity at 40 °C, U [mm²/s]
    viscosity_100c_mm2_s : float or array
        Kinematic viscosity at 100 °C, Y [mm²/s]

    Returns
    -------
    float or array
        Viscosity index [1]

    Valid range
    -----------
    At least 2 mm²/s at 100 °C, and more at 40 °C.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The standard's two examples, 92 and 156.

    >>> viscosity_index(np.array([73.3, 22.83]), np.array([8.86, 5.05])).round().tolist()
    [92.0, 156.0]

    Source
    ------
    [astm-d2270] procedures A and B
    """
    warm = require("viscosity_40c_mm2_s", viscosity_40c_mm2_s, "mm²/s", above=0.0, advice=_SHEET)
    hot = require("viscosity_100c_mm2_s", viscosity_100c_mm2_s, "mm²/s", at_least=LEAST_MM2_S, advice=_SHEET)
    if (warm <= hot).any():
        raise OutOfRangeError(
            "viscosity_40c_mm2_s is not above viscosity_100c_mm2_s, but an oil is thinner when hot: check which is which."
        )
    low, high = _references(hot)
    lower = HUNDRED * (low - warm) / (low - high)
    upper = HUNDRED + ((high / warm) ** (1 / np.log10(hot)) - 1) / POWER_SCALE
    return same_kind(np.where(warm > high, lower, upper), viscosity_40c_mm2_s, viscosity_100c_mm2_s)


def _references(hot: FloatArray) -> tuple[FloatArray, FloatArray]:
    table = np.array(_SEGMENTS)
    row = table[np.searchsorted(table[:, 0], hot, side="right") - 1]
    terms = np.stack([hot**2, hot, np.ones_like(hot)], axis=-1)
    return (row[..., 1:4] * terms).sum(-1), (row[..., 4:] * terms).sum(-1)
