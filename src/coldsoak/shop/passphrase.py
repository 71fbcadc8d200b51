"""Passphrases: which may be chosen, and how they are kept (Argon2id; nobody can read one back).

The rules are those of OWASP ASVS 5.0, 6.2.1 to 6.2.9: at least 8 characters, 15 advised, any characters, nothing cut off,
and none that is on everybody's list of guesses.
"""

import functools
import hashlib
import unicodedata
from importlib.resources import files

import argon2
from argon2.exceptions import InvalidHashError, VerificationError, VerifyMismatchError

from coldsoak.errors import InputError, StoreError

SHORTEST = 8
ADVISED = 15
LONGEST = 512
_DIGITS = 12


def refuse_weak(passphrase: str, *names: str) -> None:
    """Refuse a passphrase that is too short, too long, common, or one of the `names` that go with it.

    >>> refuse_weak("Password1234567"), refuse_weak("trustno1")
    Traceback (most recent call last):
    coldsoak.errors.InputError: this passphrase is among the first that anybody tries: choose another, best of several words.
    """
    plain = _plain(passphrase)
    if len(plain) < SHORTEST:
        raise InputError(
            f"a passphrase of {len(plain)} characters is too short: use {SHORTEST} or more, {ADVISED} are advised."
        )
    if len(plain) > LONGEST:
        raise InputError(f"a passphrase of {len(plain)} characters is too long: use up to {LONGEST}.")
    small = plain.casefold()
    if _mark(small) in _common() or len(set(small)) < 4 or _is_name(small, names):
        raise InputError(
            "this passphrase is among the first that anybody tries: choose another, best of several words."
        )


def is_short(passphrase: str) -> bool:
    """Whether a passphrase is allowed and yet shorter than advised, so that a page can say so.

    >>> is_short("nine bolts"), is_short("nine bolts on the bench")
    (True, False)
    """
    return len(_plain(passphrase)) < ADVISED


class Hasher:
    """Makes and checks hashes; `quick` is for tests, where nothing is protected."""

    def __init__(self, *, quick: bool = False) -> None:
        # RFC 9106, section 4: the second recommended choice, which argon2-cffi has as its own.
        self._argon2 = (
            argon2.PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
            if quick
            else argon2.PasswordHasher()
        )

    @functools.cached_property
    def _nobody(self) -> str:
        """Something to check against where nobody of the name is known, so that it takes as long."""
        return self._argon2.hash("nobody has this passphrase")

    def hash(self, passphrase: str) -> str:
        """Return what is kept of a passphrase."""
        return self._argon2.hash(_plain(passphrase))

    def matches(self, kept: str | None, passphrase: str) -> bool:
        """Whether the passphrase is the one; takes the same time where nobody of that name is known."""
        try:
            self._argon2.verify(kept or self._nobody, _plain(passphrase)[: LONGEST + 1])
        except VerifyMismatchError:
            return False
        except (VerificationError, InvalidHashError) as error:
            raise StoreError(
                "what was kept of a passphrase is damaged: have a lead set a new one."
            ) from error
        return kept is not None

    def is_dated(self, kept: str) -> bool:
        """Whether a hash was made with weaker settings than are used now."""
        return self._argon2.check_needs_rehash(kept)


def _plain(passphrase: str) -> str:
    whole = passphrase.encode("utf-8", "replace").decode("utf-8")  # halves of a pair of UTF-16 have no bytes
    return unicodedata.normalize("NFKC", whole)


def _is_name(small: str, names: tuple[str, ...]) -> bool:
    squeezed = "".join(small.split())
    known = {"".join(_plain(name).casefold().split()) for name in (*names, "coldsoak")}
    return squeezed.strip("0123456789!.-_") in known or squeezed in known


def _mark(small: str) -> str:
    return hashlib.sha256(small.encode("utf-8")).hexdigest()[:_DIGITS]


@functools.cache
def _common() -> frozenset[str]:
    text = files("coldsoak.shop").joinpath("common_passphrases.txt").read_text("ascii")
    return frozenset(word for line in text.splitlines() if not line.startswith("#") for word in line.split())
