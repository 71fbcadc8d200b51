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
from coldsoak.physics.interaction import (
    plate_length_mm,
    plate_share,
    plate_stiffness_n_mm,
    preload_left_n,
    preload_to_set_n,
)
from coldsoak.physics.joint import (
    bolt_stiffness_n_mm,
    frustum_stiffness_n_mm,
    load_share,
    preload_from_heating_n,
    preload_from_turn_n,
    wileman_stiffness_n_mm,
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
from coldsoak.physics.stripping import (
    engagement_needed_mm,
    nut_shear_area_mm2,
)
from coldsoak.physics.thermistor import (
    SteinhartHart,
    steinhart_hart_fit,
    steinhart_hart_resistance_ohm,
    steinhart_hart_temp_c,
)
from coldsoak.physics.thermistor_beta import beta_from_two_points, beta_resistance_ohm, beta_temp_c
from coldsoak.physics.thermistor_table import table_resistance_ohm, table_temp_c
from coldsoak.physics.thread import (
    pitch_diameter_mm,
    proof_load_n,
    root_diameter_mm,
    stress_area_mm2,
)
from coldsoak.physics.thread_tolerance import (
    nut_pitch_most_mm,
    screw_major_least_mm,
)
from coldsoak.physics.torque import (
    preload_at_yield_n,
    preload_short_n,
    torque_bearing_nm,
    torque_long_nm,
    torque_short_nm,
)
from coldsoak.physics.torque_wrench import (
    wrench_setting_nm,
)
from coldsoak.physics.two_node import (
    TwoNode,
    TwoNodeTemps,
    two_node_closed_form_c,
    two_node_series_c,
    two_node_time_constants_s,
)
from coldsoak.physics.uncertainty import (
    combined_uncertainty,
    coverage_factor,
    effective_freedom,
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
    "bolt_stiffness_n_mm",
    "clip_to",
    "combined_uncertainty",
    "converter_loss_w",
    "cooler_heat_w",
    "coverage_factor",
    "divider_resistance_ohm",
    "divider_voltage_v",
    "effective_freedom",
    "effectiveness_ntu",
    "engagement_needed_mm",
    "first_order_filter_c",
    "first_order_ramp_lag_k",
    "first_order_step_c",
    "fluid_needed_c",
    "frustum_stiffness_n_mm",
    "heat_needed_w",
    "leakage_error_k",
    "lmtd_k",
    "load_share",
    "lumped_temp_c",
    "lumped_time_constant_s",
    "lumped_time_s",
    "nut_pitch_most_mm",
    "nut_shear_area_mm2",
    "pitch_diameter_mm",
    "plate_length_mm",
    "plate_share",
    "plate_stiffness_n_mm",
    "platinum_resistance_ohm",
    "platinum_temp_c",
    "preload_at_yield_n",
    "preload_from_heating_n",
    "preload_from_turn_n",
    "preload_left_n",
    "preload_short_n",
    "preload_to_set_n",
    "proof_load_n",
    "quantise_voltage_v",
    "root_diameter_mm",
    "screw_major_least_mm",
    "series_error_k",
    "steinhart_hart_fit",
    "steinhart_hart_resistance_ohm",
    "steinhart_hart_temp_c",
    "stress_area_mm2",
    "table_resistance_ohm",
    "table_temp_c",
    "tau_from_step_s",
    "torque_bearing_nm",
    "torque_long_nm",
    "torque_short_nm",
    "two_node_closed_form_c",
    "two_node_series_c",
    "two_node_time_constants_s",
    "wileman_stiffness_n_mm",
    "with_leakage_ohm",
    "with_series_ohm",
    "wrench_setting_nm",
]
