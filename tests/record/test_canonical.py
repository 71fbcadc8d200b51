"""Canonical JSON against RFC 8785."""

import hashlib
import json
import math
import struct
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.record.samples import plain

from coldsoak.errors import InputError
from coldsoak.record.canonical import canonical

# The inputs of the test data of cyberphone/json-canonicalization, written from memory; the SHA-256 of each canonical output
# was taken with two other libraries from the published files, so that a wrong input could not give it.
VECTORS = {
    "arrays": (
        r'[56,{"d": true,"10": null,"1": [ ]}]',
        "099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42",
    ),
    "french": (
        (
            '{"peach": "This sorting order","p\u00e9ch\u00e9": "is wrong according to French",'
            '"p\u00eache": "but canonicalization MUST","sin":   "ignore locale"}'
        ),
        "d99d0ebdcb0033cb858cfa830ae46bc0fb3309413b271f1da828c89901a27ed5",
    ),
    "structures": (
        (
            r'{"1": {"f": {"f": "hi","F": 5} ,"\n": 56.0},"10": { },"": "empty","a": { },'
            r'"111": [ {"e": "yes","E": "no" } ],"A": { }}'
        ),
        "605f65004ec2db7692522a0852c22f1c989e036d547e88963d1a3143cf3195d5",
    ),
    "unicode": (
        r'{"Unnormalized Unicode":"A\u030a"}',
        "0d99aad92a125196ff887876643fd3206786a84ddce2cee52ba4ad256d2381d3",
    ),
    "values": (
        (
            r'{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],'
            r'"string": "\u20ac$\u000F\u000aA\u0027\u0042\u0022\u005c\\\"\/","literals": [null, true, false]}'
        ),
        "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb",
    ),
    "weird": (
        (
            r'{"\u20ac": "Euro Sign","\r": "Carriage Return","\u000a": "Newline","1": "One","\u0080": "Control\u007f",'
            r'"\ud83d\ude02": "Smiley","\u00f6": "Latin Small Letter O With Diaeresis",'
            r'"\ufb33": "Hebrew Letter Dalet With Dagesh","</script>": "Browser Challenge"}'
        ),
        "6af595a9aa80110b964b4de3f82a05fa6ae7423005019bacfa2620dddc4e94d1",
    ),
}
# RFC 8785, Appendix B, all rows that are numbers: bits of a double and how it is written, as four public test suites
# have the table.
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}


@pytest.mark.parametrize("name", VECTORS)
def test_published_vectors(name: str) -> None:
    said, sha256 = VECTORS[name]
    assert hashlib.sha256(canonical(json.loads(said))).hexdigest() == sha256


def test_small_vectors_as_printed() -> None:
    """The outputs for values.json and arrays.json as the published test data prints them."""
    numbers = json.loads('{"numbers":[333333333.33333329,1E30,4.50,2e-3,1e-27]}')
    assert canonical(numbers) == b'{"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27]}'
    assert canonical({"d": True, "10": None, "1": []}) == b'{"1":[],"10":null,"d":true}'


@pytest.mark.parametrize(("bits", "written"), NUMBERS.items())
def test_numbers_of_appendix_b(bits: str, written: str) -> None:
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical(value).decode() == written


def by_ecmascript(value: float) -> str:
    """A second method: the digits of Python's shortest repr, laid out by the steps of ECMA-262, Number::toString."""
    if value == 0:
        return "0"
    if value < 0:
        return "-" + by_ecmascript(-value)
    digits, _, power = f"{Decimal(repr(value)):e}".partition("e")
    digits = digits.replace(".", "").rstrip("0")
    k, n = len(digits), int(power) + 1
    if k <= n <= 21:
        return digits + "0" * (n - k)
    if 0 < n <= 21:
        return f"{digits[:n]}.{digits[n:]}"
    if -6 < n <= 0:
        return "0." + "0" * -n + digits
    sign = "+" if n > 0 else "-"
    return f"{digits[0]}{'.' if k > 1 else ''}{digits[1:]}e{sign}{abs(n - 1)}"


@given(st.floats(allow_nan=False, allow_infinity=False))
@settings(max_examples=400)
def test_any_number_is_written_as_ecmascript_does(value: float) -> None:
    assert canonical(value).decode() == by_ecmascript(value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    """RFC 8785 section 3.2.2.3: NaN and infinity must end in an error."""
    with pytest.raises(InputError, match="infinity and what is not a number have no place in a record"):
        canonical({"x": value})


def test_large_whole_numbers_are_refused() -> None:
    """RFC 8785 section 3.1 and appendix D: beyond 2^53 a whole number is not the same everywhere."""
    assert canonical(2**53 - 1) == b"9007199254740991"
    with pytest.raises(InputError, match="beyond 2"):
        canonical(2**53 + 1)


@pytest.mark.parametrize("value", [b"bytes", {1: 2}, object(), "\ud800"])
def test_what_json_cannot_say_is_refused(value: Any) -> None:
    with pytest.raises(InputError, match="cannot be written as JSON"):
        canonical(value)


@given(plain)
def test_written_and_read_is_equal_and_written_the_same(value: Any) -> None:
    """A second reader: the json module of Python's standard library."""
    text = canonical(value)
    assert json.loads(text) == value
    assert canonical(json.loads(text)) == text
