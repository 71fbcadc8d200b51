"""JSON in its one canonical form (RFC 8785), so that the same value has the same bytes everywhere."""

from typing import Any

import rfc8785

from coldsoak.errors import InputError


def canonical(value: Any) -> bytes:
    """Return plain values as canonical JSON; what JSON cannot say exactly is refused.

    >>> canonical({"d": True, "10": None, "1": [4.50, 1e30, 2e-3]})
    b'{"1":[4.5,1e+30,0.002],"10":null,"d":true}'
    """
    try:
        return rfc8785.dumps(value)
    except rfc8785.FloatDomainError as problem:
        raise InputError(
            "infinity and what is not a number have no place in a record: leave the value out."
        ) from problem
    except rfc8785.IntegerDomainError as problem:
        raise InputError(
            "a whole number beyond 2^53 is not the same on every machine: write it as text."
        ) from problem
    except (rfc8785.CanonicalizationError, UnicodeEncodeError, TypeError, RecursionError) as problem:
        raise InputError(
            f"this cannot be written as JSON ({problem}): use text, numbers, lists and names."
        ) from problem
