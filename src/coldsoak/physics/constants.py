"""Constants that belong to no single law, each with its source."""

ZERO_CELSIUS_K = 273.15
"""0 °C on the thermodynamic scale, exact [K]; [si-brochure] 9th edition 2019, section 2.3.1, kelvin."""

SECONDS_PER_MINUTE = 60.0
"""Exact [s/min]; [si-brochure] 9th edition 2019, table 8."""

GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall, exact [m/s²]; [cgpm-1901] declaration on the unit of mass and weight."""

M2_PER_MM2 = 1e-6
"""Exact [m²/mm²]; [si-brochure] 9th edition 2019, table 7, milli."""
