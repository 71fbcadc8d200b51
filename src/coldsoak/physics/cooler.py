"""Counter-flow fluid cooler."""

import numpy as np

from coldsoak.errors import OutOfRangeError
from coldsoak.physics._values import Floats, mean_decay, require, same_kind
from coldsoak.physics.constants import ZERO_CELSIUS_K

_TEMPERATURE = "give the temperature in °C"
_FLOW = "give mass flow times specific heat"


def effectiveness_ntu(ntu: Floats, capacity_ratio: Floats) -> Floats:
    """Share of the greatest possible heat flow that a counter-flow cooler reaches.

    Formula
    -------
    ε = (1 − e^(−N·(1 − r)))/(1 − r·e^(−N·(1 − r))), and N/(1 + N) where r = 1

    Parameters
    ----------
    ntu : float or array
        Number of transfer units, conductance over the smaller capacity flow [1]
    capacity_ratio : float or array
        Smaller capacity flow over the greater [1]

    Returns
    -------
    float or array
        Effectiveness [1]

    Valid range
    -----------
    Transfer units at least 0, ratio 0 to 1.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's oil cooler takes 40 of the 70 K between the inlets.

    >>> round(effectiveness_ntu(0.9259, 0.2550), 3)
    0.571

    Source
    ------
    [incropera] 6th edition, equation 11.29a, and example 11.1, p. 680.
    """
    units = require("ntu", ntu, "1", at_least=0.0, advice="give conductance over the smaller capacity flow")
    ratio = require(
        "capacity_ratio",
        capacity_ratio,
        "1",
        at_least=0.0,
        at_most=1.0,
        advice="give the smaller over the greater",
    )
    reach = units * mean_decay(units * (1 - ratio))
    return same_kind(reach / (1 + ratio * reach), ntu, capacity_ratio)


def lmtd_k(hot_in_c: Floats, hot_out_c: Floats, cold_in_c: Floats, cold_out_c: Floats) -> Floats:
    """Mean temperature difference of a counter-flow cooler.

    Formula
    -------
    ΔT = (ΔT1 − ΔT2)/ln(ΔT1/ΔT2), with ΔT1 = hot in − cold out and ΔT2 = hot out − cold in; ΔT1 where equal

    Parameters
    ----------
    hot_in_c : float or array
        Hot fluid at its inlet [degC]
    hot_out_c : float or array
        Hot fluid at its outlet [degC]
    cold_in_c : float or array
        Cold fluid at its inlet [degC]
    cold_out_c : float or array
        Cold fluid at its outlet [degC]

    Returns
    -------
    float or array
        Logarithmic mean temperature difference [K]

    Valid range
    -----------
    Temperatures above −273.15 °C; hot in above cold out and hot out above cold in.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's answer is 43.2 K.

    >>> round(lmtd_k(100.0, 60.0, 30.0, 40.2), 1)
    43.2

    Source
    ------
    [incropera] 6th edition, example 11.1, p. 680.
    """
    hot_in = require("hot_in_c", hot_in_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    hot_out = require("hot_out_c", hot_out_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    cold_in = require("cold_in_c", cold_in_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    cold_out = require("cold_out_c", cold_out_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    first, second = hot_in - cold_out, hot_out - cold_in
    if (np.minimum(first, second) <= 0).any():
        raise OutOfRangeError(
            "the hot fluid is not hotter than the cold fluid at both ends: check which temperature is which."
        )
    excess = (first - second) / second
    divisor = np.where(excess == 0, 1.0, np.log1p(excess))
    return same_kind(
        second * np.where(excess == 0, 1.0, excess / divisor), hot_in_c, hot_out_c, cold_in_c, cold_out_c
    )


def cooler_heat_w(
    hot_in_c: Floats, cold_in_c: Floats, hot_flow_w_k: Floats, cold_flow_w_k: Floats, conductance_w_k: Floats
) -> Floats:
    """Heat that a counter-flow cooler takes out of the hot fluid.

    Formula
    -------
    Q = ε(N, r)·Cmin·(Th − Tc), with N = UA/Cmin and r = Cmin/Cmax

    Parameters
    ----------
    hot_in_c : float or array
        Hot fluid at its inlet [degC]
    cold_in_c : float or array
        Cold fluid at its inlet [degC]
    hot_flow_w_k : float or array
        Mass flow times specific heat of the hot fluid [W/K]
    cold_flow_w_k : float or array
        Mass flow times specific heat of the cold fluid [W/K]
    conductance_w_k : float or array
        Conductance UA of the cooler [W/K]

    Returns
    -------
    float or array
        Heat flow out of the hot fluid, negative where the "cold" fluid is the hotter one [W]

    Valid range
    -----------
    Temperatures above −273.15 °C, both capacity flows above 0, conductance at least 0.

    Raises
    ------
    OutOfRangeError
        Outside that range.

    Examples
    --------
    The book's oil cooler gives up 8524 W.

    >>> round(cooler_heat_w(100.0, 30.0, 0.1 * 2131, 0.2 * 4178, 197.31))
    8524

    Source
    ------
    [incropera] 6th edition, example 11.1, p. 680, and equation 11.22.
    """
    hot = require("hot_in_c", hot_in_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    cold = require("cold_in_c", cold_in_c, "degC", above=-ZERO_CELSIUS_K, advice=_TEMPERATURE)
    hot_flow = require("hot_flow_w_k", hot_flow_w_k, "W/K", above=0.0, advice=_FLOW)
    cold_flow = require("cold_flow_w_k", cold_flow_w_k, "W/K", above=0.0, advice=_FLOW)
    conductance = require(
        "conductance_w_k", conductance_w_k, "W/K", at_least=0.0, advice="give the conductance of the cooler"
    )
    least, most = np.minimum(hot_flow, cold_flow), np.maximum(hot_flow, cold_flow)
    heat = np.asarray(effectiveness_ntu(conductance / least, least / most)) * least * (hot - cold)
    return same_kind(heat, hot_in_c, cold_in_c, hot_flow_w_k, cold_flow_w_k, conductance_w_k)
