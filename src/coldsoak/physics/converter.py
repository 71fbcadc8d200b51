"""Torque converter: what it takes in and does not hand on becomes heat in the fluid."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import Floats, require, same_kind
from coldsoak.physics.constants import SECONDS_PER_MINUTE


def converter_loss_w(
    torque_nm: Floats, speed_rpm: Floats, speed_ratio: Floats, torque_ratio: Floats
) -> Floats:
    """Heat that a torque converter puts into its fluid while the engine drives.

    Formula
    -------
    P = T·ω·(1 − SR·TR), with ω = 2π·n/60; all of the input at stall, nothing when locked

    Parameters
    ----------
    torque_nm : float or array
        Torque into the pump [N*m]
    speed_rpm : float or array
        Speed of the pump, which is that of the engine [rpm]
    speed_ratio : float or array
        Turbine speed over pump speed [1]
    torque_ratio : float or array
        Turbine torque over pump torque [1]

    Returns
    -------
    float or array
        Heat flow into the fluid [W]

    Valid range
    -----------
    Driving, not overrun: torque, speed and torque ratio at least 0, speed ratio 0 to 1, and the product of the
    two ratios, which is the efficiency, at most 1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    200 N·m at 2000 rpm in stall.

    >>> round(converter_loss_w(200.0, 2000.0, 0.0, 2.0))
    41888

    Source
    ------
    [euromotor-slides] equations 3-21 and 3-22; the example is worked by hand.
    """
    driving = "this law is for driving, so leave overrun out"
    torque = require("torque_nm", torque_nm, "N*m", at_least=0.0, advice=driving)
    speed = require("speed_rpm", speed_rpm, "rpm", at_least=0.0, advice="give the speed of the engine")
    slip = require("speed_ratio", speed_ratio, "1", at_least=0.0, at_most=1.0, advice=driving)
    gain = require("torque_ratio", torque_ratio, "1", at_least=0.0, advice=driving)
    efficiency = slip * gain
    if (efficiency > 1).any():
        raise OutOfRangeError(
            f"speed_ratio times torque_ratio is {efficiency.max():.10g}, but a converter cannot hand on more than it takes in: check the two ratios."
        )
    omega = speed * 2 * np.pi / SECONDS_PER_MINUTE
    return same_kind(torque * omega * (1 - efficiency), torque_nm, speed_rpm, speed_ratio, torque_ratio)
