"""Every law is described with one skeleton, and a machine reads the units in it."""

import inspect
import re

import pint
import pytest

from coldsoak import physics
from coldsoak.sources import sources

SECTIONS = ["Formula", "Parameters", "Returns", "Valid range", "Raises", "Examples", "Source"]
HEADING = re.compile(r"^(?P<title>[A-Z][\w ]*)\n-{3,}$", re.MULTILINE)
PARAMETER = re.compile(r"^(?P<name>\w+) : (?P<kind>.+)\n(?P<text>(?:    .+\n?)+)", re.MULTILINE)
UNIT = re.compile(r"\[([^\]]+)\]\s*$")
NOT_PHYSICAL = {"any"}
NAMED = {
    "ohm": "ohm",
    "c": "degC",
    "k": "K",
    "v": "V",
    "s": "s",
    "w": "W",
    "nm": "N*m",
    "rpm": "rpm",
    "m": "m",
    "mm": "mm",
    "m2": "m²",
    "m3": "m³",
    "mm2": "mm²",
    "n": "N",
    "mpa": "MPa",
    "deg": "deg",
}
COMPOUND = ("_j_k", "_w_k", "_k_s", "_n_mm", "_ppm_k", "_mm2_s", "_m3_s", "_kg_m3", "_n_m")
UNITS = pint.UnitRegistry()


def sections(function):
    text = inspect.getdoc(function)
    summary, *rest = HEADING.split(text)
    return summary.strip(), dict(zip(rest[::2], rest[1::2], strict=True))


def units(text):
    """The units of one description: the bracket at its end, or every bracket where it names several."""
    found = UNIT.search(text.rstrip())
    assert found, f"no [unit] at the end of {text!r}"
    return re.findall(r"\[([^\]]+)\]", text)


def check_units(text):
    for unit in units(text):
        if unit not in NOT_PHYSICAL | {"1"}:
            assert UNITS.parse_units(unit) is not None


def test_sections_are_present_and_in_order(law):
    summary, parts = sections(law[1])
    assert list(parts) == SECTIONS
    assert summary.endswith(".")
    assert "\n" not in summary
    assert all(text.strip() for text in parts.values())


def test_parameters_are_those_of_the_signature(law):
    _, parts = sections(law[1])
    described = [match["name"] for match in PARAMETER.finditer(parts["Parameters"])]
    assert described == list(inspect.signature(law[1]).parameters)


def test_every_parameter_and_result_has_a_unit_that_a_machine_reads(law):
    _, parts = sections(law[1])
    for match in PARAMETER.finditer(parts["Parameters"]):
        check_units(match["text"])
    check_units(parts["Returns"])


def test_the_unit_in_the_name_is_the_unit_in_the_description(law):
    _, parts = sections(law[1])
    for match in PARAMETER.finditer(parts["Parameters"]):
        suffix = match["name"].rsplit("_", 1)[-1]
        if "_" in match["name"] and suffix in NAMED and not match["name"].endswith(COMPOUND):
            assert units(match["text"])[-1] == NAMED[suffix]


def test_the_type_in_the_description_agrees_with_the_signature(law):
    _, parts = sections(law[1])
    signature = inspect.signature(law[1]).parameters
    for match in PARAMETER.finditer(parts["Parameters"]):
        annotation = str(signature[match["name"]].annotation)
        assert ("array" in match["kind"]) == ("ndarray" in annotation)


def test_examples_run_the_law(law):
    _, parts = sections(law[1])
    assert ">>>" in parts["Examples"]
    assert law[0].split(".")[1] + "(" in parts["Examples"]


def test_the_source_is_registered_or_said_to_be_none(law):
    _, parts = sections(law[1])
    keys = re.findall(r"\[([a-z0-9-]+)\]", parts["Source"])
    assert set(keys) <= set(sources())
    assert keys or "no published example" in parts["Source"]


def test_the_package_offers_every_law(law):
    name = law[0].split(".")[1]
    if name == "two_node_ode_c":
        assert name not in physics.__all__
    else:
        assert getattr(physics, name) is law[1]


@pytest.mark.parametrize("text", ["Temperature of the fluid", "Temperature [degC] of the fluid"])
def test_a_missing_unit_is_noticed(text):
    with pytest.raises(AssertionError, match=r"no \[unit\] at the end"):
        check_units(text)


def test_an_unknown_unit_is_noticed():
    with pytest.raises(pint.UndefinedUnitError, match="'smoot_per_fortnight' is not defined"):
        check_units("Rate [smoot_per_fortnight]")
