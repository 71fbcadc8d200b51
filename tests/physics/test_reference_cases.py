"""Reference cases are data; these tests run them and hold the data itself to account."""

import inspect

import numpy as np
import pytest

from coldsoak.sources import sources

GRADES = {
    "published",
    "hand-worked limit",
    "second method",
    "common practice",
    "from memory",
    "self-recorded",
}
KEYS = {
    "name",
    "function",
    "inputs",
    "expected",
    "tolerance",
    "tolerance_reason",
    "grade",
    "source",
    "locator",
}


def numbers(expected):
    parts = expected.values() if isinstance(expected, dict) else [expected]
    return np.concatenate([np.atleast_1d(np.asarray(part, dtype=float)) for part in parts])


def limits(tolerance):
    return {"atol": tolerance.get("abs", 0.0), "rtol": tolerance.get("rel", 0.0)}


def test_the_law_gives_what_the_source_says(case, laws, arguments):
    result = laws[case["function"]](**arguments(case["inputs"]))
    expected = case["expected"]
    if isinstance(expected, dict):
        for field, value in expected.items():
            np.testing.assert_allclose(
                np.asarray(getattr(result, field)), np.asarray(value, float), **limits(case["tolerance"])
            )
    else:
        np.testing.assert_allclose(
            np.asarray(result), np.asarray(expected, float), **limits(case["tolerance"])
        )


def test_a_case_is_complete(case, laws):
    assert KEYS - {"source"} <= set(case) <= KEYS
    assert case["function"] in laws
    assert set(case["inputs"]) == set(inspect.signature(laws[case["function"]]).parameters)
    assert case["grade"] in GRADES
    assert case["locator"].strip()
    assert len(case["tolerance_reason"]) > len("rounding") or case["tolerance_reason"] == "rounding"


def test_a_tolerance_is_smaller_than_what_it_measures(case):
    (kind, width), *others = case["tolerance"].items()
    assert not others
    assert kind in {"abs", "rel"}
    assert width > 0
    if kind == "rel":
        assert width < 1
        return
    expected = numbers(case["expected"])
    finite = expected[np.isfinite(expected) & (expected != 0)]
    assert (width < np.abs(finite)).all()


def test_a_printed_number_names_a_source_that_was_read(case):
    if case["grade"] == "published":
        assert sources()[case["source"]].read != "memory"
    elif case["grade"] == "from memory":
        assert case["source"] in sources()
    else:
        assert "source" not in case


def test_no_two_cases_share_a_name(cases):
    names = [(case["function"], case["name"]) for case in cases]
    assert len(set(names)) == len(names)


def test_every_law_has_a_case_from_outside_the_project(law, cases):
    name, _ = law
    grades = {case["grade"] for case in cases if case["function"] == name}
    assert grades - {"self-recorded"}


@pytest.mark.parametrize("part", ["thermistor", "circuit", "heat", "lag", "cooler", "rtd", "thermistor_beta"])
def test_families_with_a_printed_example_are_held_against_it(part, cases):
    grades = {case["grade"] for case in cases if case["function"].startswith(f"{part}.")}
    assert grades & {"published", "from memory"}
