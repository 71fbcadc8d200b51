"""Published laws as pure functions: SI numbers or arrays in, the same kind out.

`two_node_ode` stays out of this list: it loads a solver that only checks need.
"""

from coldsoak.physics.circuit import (
    clip_to,
    divider_resistance_ohm,
    divider_voltage_v,
    quantise_voltage_v,
    with_leakage_ohm,
    with_series_ohm,
)
from coldsoak.physics.circuit_error import leakage_error_k, series_error_k
from coldsoak.physics.converter import converter_loss_w
from coldsoak.physics.cooler import cooler_heat_w, effectiveness_ntu, lmtd_k
from coldsoak.physics.heat import (
    adiabatic_rate_k_s,
    biot_number,
    heat_needed_w,
    lumped_temp_c,
    lumped_time_constant_s,
    lumped_time_s,
)
from coldsoak.physics.lag import (
    first_order_filter_c,
    first_order_ramp_lag_k,
    first_order_step_c,
    fluid_needed_c,
    tau_from_step_s,
)
from coldsoak.physics.rtd import platinum_resistance_ohm, platinum_temp_c
from coldsoak.physics.statistics import binomial_upper_tail
from coldsoak.physics.thermistor import (
    SteinhartHart,
    steinhart_hart_fit,
    steinhart_hart_resistance_ohm,
    steinhart_hart_temp_c,
)
from coldsoak.physics.thermistor_beta import beta_from_two_points, beta_resistance_ohm, beta_temp_c
from coldsoak.physics.thermistor_table import table_resistance_ohm, table_temp_c
from coldsoak.physics.two_node import (
    TwoNode,
    TwoNodeTemps,
    two_node_closed_form_c,
    two_node_series_c,
    two_node_time_constants_s,
)

__all__ = [
    "SteinhartHart",
    "TwoNode",
    "TwoNodeTemps",
    "adiabatic_rate_k_s",
    "beta_from_two_points",
    "beta_resistance_ohm",
    "beta_temp_c",
    "binomial_upper_tail",
    "biot_number",
    "clip_to",
    "converter_loss_w",
    "cooler_heat_w",
    "divider_resistance_ohm",
    "divider_voltage_v",
    "effectiveness_ntu",
    "first_order_filter_c",
    "first_order_ramp_lag_k",
    "first_order_step_c",
    "fluid_needed_c",
    "heat_needed_w",
    "leakage_error_k",
    "lmtd_k",
    "lumped_temp_c",
    "lumped_time_constant_s",
    "lumped_time_s",
    "platinum_resistance_ohm",
    "platinum_temp_c",
    "quantise_voltage_v",
    "series_error_k",
    "steinhart_hart_fit",
    "steinhart_hart_resistance_ohm",
    "steinhart_hart_temp_c",
    "table_resistance_ohm",
    "table_temp_c",
    "tau_from_step_s",
    "two_node_closed_form_c",
    "two_node_series_c",
    "two_node_time_constants_s",
    "with_leakage_ohm",
    "with_series_ohm",
]
