"""Floats in, floats out; arrays in, arrays out; and an array gives what its items give."""

import inspect

import numpy as np


def takes_both(parameter):
    return "ndarray" in str(parameter.annotation) and "float" in str(parameter.annotation)


def row_laws(name):
    return name.endswith(
        (
            "series_c",
            "ode_c",
            "filter_c",
            "steinhart_hart_fit",
            "left_n",
            "set_n",
            "d_uncertainty",
            "e_freedom",
            "after_sequence",
            "cusum",
            "body_c",
        )
    )


def scalars(law, example):
    """The first item of every input that may be a single number, the rest as it is."""
    parameters = inspect.signature(law).parameters
    single = {}
    for name, value in example.items():
        if takes_both(parameters[name]) and np.ndim(value) and not name.startswith("table_"):
            single[name] = float(value[0])
        else:
            single[name] = value
    return single


def fields(result):
    return result if isinstance(result, tuple) else (result,)


def test_single_numbers_give_a_single_number(law, example):
    name, function = law
    if row_laws(name):
        return
    result = function(**scalars(function, example))
    assert all(type(part) is float for part in fields(result))


def test_an_array_gives_what_its_items_give(law, example):
    name, function = law
    if row_laws(name):
        return
    single = scalars(function, example)
    alone = function(**single)
    for parameter, value in inspect.signature(function).parameters.items():
        if takes_both(value) and not parameter.startswith("table_"):
            many = {**single, parameter: np.full((2, 3), single[parameter])}
            for part, expected in zip(fields(function(**many)), fields(alone), strict=True):
                assert part.shape == (2, 3)
                np.testing.assert_allclose(part, expected, rtol=1e-12)


def test_inputs_are_left_as_they_were(law, example):
    _, function = law
    before = {name: np.array(value) for name, value in example.items() if isinstance(value, np.ndarray)}
    function(**example)
    for name, value in before.items():
        np.testing.assert_array_equal(example[name], value)
