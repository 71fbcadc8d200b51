"""Where each parameter's range ends: absolute zero for temperatures, 0 for most others, and whether 0 belongs to it."""

import inspect
import math

import numpy as np
import pytest

from coldsoak.errors import OutOfRangeError

ABSOLUTE_ZERO_C = -273.15
ZERO_REFUSED = {
    "resistance_ohm", "r0_ohm", "resistance_1_ohm", "resistance_2_ohm", "table_resistance_ohm", "beta_k", "b",
    "pullup_ohm", "supply_v", "bits", "tau_s", "capacity_j_k", "length_m", "conductivity_w_mk", "hot_flow_w_k",
    "cold_flow_w_k",
    "circuit_error.sensor_ohm", "circuit_error.leakage_ohm",
    "tau_from_step_s.time_s", "fluid_needed_c.time_s", "heat_needed_w.time_s",
    "lumped_time_s.conductance_w_k", "lumped_time_constant_s.conductance_w_k", "trials",
    "diameter_mm", "pitch_mm", "area_mm2", "proof_stress_mpa", "nut_factor", "bearing_mm", "yield_mpa", "utilisation",
    "handle_mm", "screw_major_mm", "nut_pitch_diameter_mm", "shear_strength_mpa", "shank_area_mm2", "thread_area_mm2",
    "thread_mm", "modulus_mpa", "hole_mm", "face_mm", "thickness_mm", "length_mm", "factor", "exponent", "bolt_n_mm",
    "member_n_mm", "seat_n_mm3", "freedom", "level",
    "density_15c_kg_m3", "density_kg_m3", "viscosity_a_mm2_s", "viscosity_b_mm2_s", "viscosity_40c_mm2_s",
    "viscosity_100c_mm2_s", "viscosity_mm2_s", "area_m2", "surface_m2", "first_m2", "second_m2", "start_head_m",
    "diameter_m", "radius_m", "hole_m", "coefficient", "reynolds", "surface_tension_n_m", "drip_m3_s",
    "target_fraction", "drains_needed.drained_fraction", "confidence", "rate", "exposure_before", "exposure",
    "two_rate_p.exposure_after", "shape", "alpha", "beta", "rate_0", "rate_1", "share_0", "share_1",
}  # fmt: skip
ZERO_ALLOWED = {
    "c", "sensor_ohm", "series_ohm", "leakage_ohm", "voltage_v", "time_s", "conductance_w_k", "coefficient_w_m2k",
    "torque_nm", "speed_rpm", "speed_ratio", "torque_ratio", "ntu", "capacity_ratio", "count", "share",
    "preload_n", "thread_friction", "head_friction", "adapter_mm", "engaged_mm", "load_n", "shank_mm", "poisson",
    "distance_mm", "set_n", "left_n", "uncertainty", "contribution", "joint.angle_deg",
    "volume_m3", "head_m", "end_head_m", "level_m", "wall_m", "wall_ratio", "excess_m3", "drained_fraction",
    "drained_fractions", "volumes_through", "count_before", "count_after", "limit", "prior", "silence",
    "no_event_probability.exposure_after", "poisson_llr.exposure", "allowance", "head_start", "radiating_m2",
}  # fmt: skip
NO_END = {
    "a", "heat_w", "change_k", "rate_k_s", "value", "low", "high",
    "expansion_ppm_k", "sensitivity", "interaction", "torque_wrench.angle_deg",
    "quantise_voltage_v.voltage_v",
    "two_node_series_c.time_s", "two_node_ode_c.time_s", "first_order_filter_c.time_s",
    "values", "target", "radiating_body_c.time_s",
}  # fmt: skip


def kind(name, parameter):
    module, law = name.split(".")
    if parameter.endswith("_c"):
        return "temperature"
    for key in (f"{law}.{parameter}", f"{module}.{parameter}", parameter):
        for label, group in (("refused", ZERO_REFUSED), ("allowed", ZERO_ALLOWED), ("no end", NO_END)):
            if key in group:
                return label
    raise LookupError(f"{name}: say where {parameter} ends")


def with_value(example, parameter, value):
    old = np.asarray(example[parameter], dtype=float)
    if not old.ndim:
        return {**example, parameter: value}
    changed = old.copy()
    changed.flat[0] = value
    return {**example, parameter: changed}


def ends(law):
    name, function = law
    for parameter, entry in inspect.signature(function).parameters.items():
        if "float" in str(entry.annotation) or entry.annotation is int:
            yield parameter, kind(name, parameter)


def refuses(function, example, parameter, value):
    number = f"{value:.10g}".replace(".", r"\.")
    with pytest.raises(OutOfRangeError, match=rf"^{parameter} is {number}\b"):
        function(**with_value(example, parameter, value))


def test_values_beyond_the_end_are_refused(law, example):
    for parameter, end in ends(law):
        if end == "temperature":
            refuses(law[1], example, parameter, ABSOLUTE_ZERO_C)
        elif end == "refused":
            refuses(law[1], example, parameter, 0)
        elif end == "allowed":
            refuses(law[1], example, parameter, -1e-9)


def test_zero_is_a_value_where_it_belongs_to_the_range(law, example):
    for parameter, end in ends(law):
        if end == "allowed":
            result = law[1](**with_value(example, parameter, 0.0))
            assert not np.isnan(np.asarray(result)).any()
            assert math.isfinite(np.min(np.asarray(result)))
