"""The data dictionary. Unit factors are checked against pint; names are common practice, no source."""

import pint
import pytest

from coldsoak.errors import InputError
from coldsoak.logs import dictionary
from coldsoak.logs.dictionary import find_unit, recognise

REGISTRY = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
CANONICAL = {q.kind: q.unit for q in dictionary.quantities().values()}


@pytest.mark.parametrize("name", sorted(dictionary.units()))
@pytest.mark.parametrize("value", [0.0, 1.0, -40.0, 123.456])
def test_every_factor_agrees_with_pint(name: str, value: float) -> None:
    """Second library: pint. Conventional mercury columns agree to six digits in NIST SP 811, hence the tolerance."""
    unit = dictionary.units()[name]
    target = dictionary.units()[CANONICAL.get(unit.kind, name)]
    expected = REGISTRY.Quantity(value, unit.pint).to(target.pint).magnitude
    assert unit.scale * value + unit.offset == pytest.approx(expected, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("name", sorted(dictionary.units()))
def test_every_unit_is_found_by_all_its_spellings(name: str) -> None:
    unit = dictionary.units()[name]
    for spelling in dictionary._data()["unit"][name]["spellings"]:
        assert find_unit(spelling, unit.kind) == unit, spelling


@pytest.mark.parametrize("name", sorted(dictionary.quantities()))
def test_every_quantity_is_found_by_all_its_names(name: str) -> None:
    for known in dictionary._data()["quantity"][name]["names"]:
        for header in (known, known.upper().replace(" ", "_"), f"{known} ()", f"  {known}  "):
            found = recognise(header).quantity
            assert found is not None, header
            assert found.name == name, header


def test_every_quantity_has_a_unit_of_its_kind_and_limits_in_order() -> None:
    for q in dictionary.quantities().values():
        unit = dictionary.units()[q.unit]
        assert (unit.kind, unit.scale, unit.offset) == (q.kind, 1.0, 0.0), q.name
        assert q.minimum < q.maximum, q.name


@pytest.mark.parametrize(
    ("header", "quantity", "unit"),
    [
        ("Engine Coolant Temperature [°C]", "coolant_temp", "degC"),
        ("COOLANT_TEMPERATURE ()", "coolant_temp", None),
        ("coolantTempF", "coolant_temp", "degF"),
        ("ECT", "coolant_temp", None),
        ("TFT", "fluid_temp", None),
        ("Trans fluid temp (°F)", "fluid_temp", "degF"),
        ("ATF temperature", "fluid_temp", None),
        ("AT oil temp", "fluid_temp", None),
        ("Getriebeöltemperatur [°C]", "fluid_temp", "degC"),
        ("Transmission Fluid Temperature Sensor 2", "fluid_temp", None),
        ("Öltemperatur", "oil_temp", None),
        ("CATALYST_TEMPERATURE_BANK1_SENSOR2 ()", "catalyst_temp", None),
        ("Air Flow Rate from Mass Flow Sensor [g/s]", "air_flow", "g/s"),
        ("ENGINE_RUN_TINE ()", "run_time", None),
        ("Engine RPM [RPM]", "engine_speed", "rpm"),
        ("Rear differential oil temp (°C)", "other_temp", "degC"),
        ("Battery temp", "other_temp", None),
        ("Probe 3 [°C]", "other_temp", "degC"),
        ("TFT sensor voltage (V)", "sensor_voltage", "V"),
        ("Converter slip (rpm)", "converter_slip", "rpm"),
        ("Trans line pressure (psi)", "line_pressure", "psi"),
        ("desired engine speed", None, None),
        ("TIME_RUN_WITH_MIL_ON ()", None, None),
        ("Coolant temp warning status", None, None),
        ("Boost (psi)", None, "psi"),
        ("Gear oil temp", "fluid_temp", None),
        ("CVTF TEMP", "fluid_temp", None),
        ("Öltemperatur Getriebe", "fluid_temp", None),
        ("Torque converter oil temp", "other_temp", None),
        ("Retarder oil temp", "other_temp", None),
        ("Fluid temp sensor (V)", "fluid_temp", "V"),
        ("fluid_temp_mV", "fluid_temp", "mV"),
        ("Engine load (Nm)", "engine_load", "N*m"),
        ("Coolant temp (min)", "coolant_temp", None),
        ("Trans temp. (Method 1)", "fluid_temp", None),
        ("Flux", None, None),
        ("", None, None),
    ],
)
def test_headers(header: str, quantity: str | None, unit: str | None) -> None:
    found = recognise(header)
    assert (found.quantity.name if found.quantity else None, found.unit.name if found.unit else None) == (
        quantity,
        unit,
    )


def test_an_unknown_quantity_lists_the_known_ones() -> None:
    with pytest.raises(
        InputError, match=r"^There is no quantity 'heat'; choose one of fluid_temp, coolant_temp, "
    ):
        dictionary.quantity("heat")
