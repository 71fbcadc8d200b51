"""A torque wrench with a crowfoot or another adapter: what to set so that the fastener gets its torque."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import Floats, require, same_kind


def wrench_setting_nm(torque_nm: Floats, handle_mm: Floats, adapter_mm: Floats, angle_deg: Floats) -> Floats:
    """Setting of a torque wrench that works through an adapter which moves the fastener off its square.

    Formula
    -------
    Tw = T·L/(L + A·cos θ)

    Parameters
    ----------
    torque_nm : float or array
        Torque that the fastener is to get [N*m]
    handle_mm : float or array
        From the square of the wrench to the middle of the grip [mm]
    adapter_mm : float or array
        From the square of the wrench to the fastener [mm]
    angle_deg : float or array
        Angle between adapter and handle: 0 straight on, 90 square to it, 180 back along the handle [deg]

    Returns
    -------
    float or array
        Setting of the wrench [N*m]

    Valid range
    -----------
    Torque and adapter at least 0, handle above 0; the fastener must not come to lie under the hand.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    US Army TM 1-1500-204-23-9: 300 lbf·in, 10 in handle, 4 in adapter: set 214.

    >>> round(wrench_setting_nm(300.0, 254.0, 101.6, 0.0))
    214

    Source
    ------
    [tm-1-1500] figure 8-16; the cosine is geometry
    """
    torque = require("torque_nm", torque_nm, "N*m", at_least=0.0, advice="give the torque of the sheet")
    handle = require("handle_mm", handle_mm, "mm", above=0.0, advice="measure square to middle of the grip")
    adapter = require("adapter_mm", adapter_mm, "mm", at_least=0.0, advice="measure square to fastener")
    angle = require("angle_deg", angle_deg, "deg", advice="give the angle between adapter and handle")
    reach = handle + adapter * np.cos(np.radians(angle))
    if (reach <= 0).any():
        raise OutOfRangeError(
            "the fastener lies under or behind the hand: turn the adapter forward or take a shorter one."
        )
    return same_kind(torque * handle / reach, torque_nm, handle_mm, adapter_mm, angle_deg)
