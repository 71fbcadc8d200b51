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
from coldsoak.physics.circuit_error import (
    leakage_error_k,
    series_error_k,
)
from coldsoak.physics.converter import (
    converter_loss_w,
)
from coldsoak.physics.cooler import (
    cooler_heat_w,
    effectiveness_ntu,
    lmtd_k,
)
from coldsoak.physics.dilution import (
    drains_needed,
    old_fraction_after_drains,
    old_fraction_after_sequence,
    old_fraction_flow_through,
)
from coldsoak.physics.draining import (
    bowl_drain_s,
    lying_cylinder_drain_s,
    orifice_flow_m3_s,
    prism_drain_s,
    two_tanks_s,
)
from coldsoak.physics.fluid_volume import (
    density_kg_m3,
    thermal_expansion_1_k,
    volume_at_temp_m3,
    volume_correction,
)
from coldsoak.physics.gamma_poisson import (
    no_event_probability,
    rate_below_probability,
    still_there_probability,
)
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
from coldsoak.physics.level_hole import circular_weir_flow_m3_s, level_hole_flow_m3_s, viscous_coefficient
from coldsoak.physics.overflow import drip_flow_m3_s, drip_level_m, time_to_drip_s
from coldsoak.physics.poisson import (
    PoissonInterval,
    exposure_needed,
    poisson_interval,
    poisson_lower,
    poisson_upper,
    two_rate_p,
    zero_of_n_upper,
)
from coldsoak.physics.radiation import (
    radiating_body_c,
)
from coldsoak.physics.rtd import (
    platinum_resistance_ohm,
    platinum_temp_c,
)
from coldsoak.physics.sequential import (
    CusumSums,
    SprtLines,
    WaldBounds,
    binomial_sprt_lines,
    cusum,
    poisson_llr,
    wald_bounds,
)
from coldsoak.physics.statistics import (
    binomial_upper_tail,
)
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
from coldsoak.physics.thermistor_beta import (
    beta_from_two_points,
    beta_resistance_ohm,
    beta_temp_c,
)
from coldsoak.physics.thermistor_table import (
    table_resistance_ohm,
    table_temp_c,
)
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
from coldsoak.physics.viscosity import (
    WaltherConstants,
    dynamic_viscosity_pa_s,
    viscosity_mm2_s,
    walther_constants,
)
from coldsoak.physics.viscosity_index import (
    viscosity_index,
)

__all__ = [
    "CusumSums",
    "PoissonInterval",
    "SprtLines",
    "SteinhartHart",
    "TwoNode",
    "TwoNodeTemps",
    "WaldBounds",
    "WaltherConstants",
    "adiabatic_rate_k_s",
    "beta_from_two_points",
    "beta_resistance_ohm",
    "beta_temp_c",
    "binomial_sprt_lines",
    "binomial_upper_tail",
    "biot_number",
    "bolt_stiffness_n_mm",
    "bowl_drain_s",
    "circular_weir_flow_m3_s",
    "clip_to",
    "combined_uncertainty",
    "converter_loss_w",
    "cooler_heat_w",
    "coverage_factor",
    "cusum",
    "density_kg_m3",
    "divider_resistance_ohm",
    "divider_voltage_v",
    "drains_needed",
    "drip_flow_m3_s",
    "drip_level_m",
    "dynamic_viscosity_pa_s",
    "effective_freedom",
    "effectiveness_ntu",
    "engagement_needed_mm",
    "exposure_needed",
    "first_order_filter_c",
    "first_order_ramp_lag_k",
    "first_order_step_c",
    "fluid_needed_c",
    "frustum_stiffness_n_mm",
    "heat_needed_w",
    "leakage_error_k",
    "level_hole_flow_m3_s",
    "lmtd_k",
    "load_share",
    "lumped_temp_c",
    "lumped_time_constant_s",
    "lumped_time_s",
    "lying_cylinder_drain_s",
    "no_event_probability",
    "nut_pitch_most_mm",
    "nut_shear_area_mm2",
    "old_fraction_after_drains",
    "old_fraction_after_sequence",
    "old_fraction_flow_through",
    "orifice_flow_m3_s",
    "pitch_diameter_mm",
    "plate_length_mm",
    "plate_share",
    "plate_stiffness_n_mm",
    "platinum_resistance_ohm",
    "platinum_temp_c",
    "poisson_interval",
    "poisson_llr",
    "poisson_lower",
    "poisson_upper",
    "preload_at_yield_n",
    "preload_from_heating_n",
    "preload_from_turn_n",
    "preload_left_n",
    "preload_short_n",
    "preload_to_set_n",
    "prism_drain_s",
    "proof_load_n",
    "quantise_voltage_v",
    "radiating_body_c",
    "rate_below_probability",
    "root_diameter_mm",
    "screw_major_least_mm",
    "series_error_k",
    "steinhart_hart_fit",
    "steinhart_hart_resistance_ohm",
    "steinhart_hart_temp_c",
    "still_there_probability",
    "stress_area_mm2",
    "table_resistance_ohm",
    "table_temp_c",
    "tau_from_step_s",
    "thermal_expansion_1_k",
    "time_to_drip_s",
    "torque_bearing_nm",
    "torque_long_nm",
    "torque_short_nm",
    "two_node_closed_form_c",
    "two_node_series_c",
    "two_node_time_constants_s",
    "two_rate_p",
    "two_tanks_s",
    "viscosity_index",
    "viscosity_mm2_s",
    "viscous_coefficient",
    "volume_at_temp_m3",
    "volume_correction",
    "wald_bounds",
    "walther_constants",
    "wileman_stiffness_n_mm",
    "with_leakage_ohm",
    "with_series_ohm",
    "wrench_setting_nm",
    "zero_of_n_upper",
]
