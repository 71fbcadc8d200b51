"""Trouble codes and the standard monitor status: what they say about a repair."""

import re
import tomllib
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from coldsoak.errors import InputError
from coldsoak.prove.proof import Codes, Monitor, Readiness

CODE = re.compile(r"[PCBU][0-3][0-9A-F]{3}(-[0-9A-F]{2})?")
NONE = ("none", "no", "-")
READY, OPEN = ("ready", "complete", "run"), ("open", "incomplete", "not_ready")


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(files("coldsoak.prove").joinpath("monitors.toml").read_text("utf-8"))


def names_of(kind: str) -> frozenset[str]:
    """Return what loggers call a channel that counts codes or clearing.

    >>> "dtc count" in names_of("stored codes")
    True
    """
    return frozenset(_table()["channels"][kind])


def monitor_names() -> tuple[str, ...]:
    """Return the names of the standard monitors, those of every ignition once.

    >>> monitor_names()[:3]
    ('misfire', 'fuel system', 'components')
    """
    names = [*_table()["common"], *_table()["spark"], *_table()["compression"]]
    return tuple(dict.fromkeys(name for name in names if name))


def parse_codes(text: str | None) -> tuple[str, ...] | None:
    """Return the codes in a text, () where it says there are none, None where nothing was said.

    >>> parse_codes("p0711, P0740"), parse_codes("none"), parse_codes(None)
    (('P0711', 'P0740'), (), None)
    """
    if text is None:
        return None
    words = [word.upper() for word in re.split(r"[,;\s]+", text.strip()) if word]
    if not words or [word.lower() for word in words] in [[none] for none in NONE]:
        return ()
    for word in words:
        if not CODE.fullmatch(word):
            raise InputError(
                f"{word!r} is no trouble code: write them as in P0711, with commas between, or none."
            )
    return tuple(dict.fromkeys(words))


def parse_readiness(text: str | None) -> Readiness | None:
    """Return the monitor status from its four bytes in hex, or from a list as a scan shows it.

    >>> status = parse_readiness("00 07 E5 04")
    >>> status.lamp_on, status.open_monitors
    (False, ('evaporative system',))
    >>> parse_readiness("components=ready, catalyst=open").open_monitors
    ('catalyst',)
    """
    if text is None:
        return None
    packed = re.sub(r"[\s:.,-]+", "", text).upper()
    packed = packed[4:] if re.fullmatch(r"4101[0-9A-F]{8}", packed) else packed
    if re.fullmatch(r"[0-9A-F]{8}", packed):
        return decode_readiness(bytes.fromhex(packed))
    monitors = []
    for part in text.split(","):
        name, _, state = (piece.strip() for piece in part.partition("="))
        known = {*_table()["common"], *_table()["spark"], *_table()["compression"]} - {""}
        plain = name.replace("_", " ")
        found = next((one for one in sorted(known) if one.lower() == plain.lower()), None)
        if found is None or state.lower().replace(" ", "_") not in READY + OPEN:
            raise InputError(
                f"the readiness {text!r} is not understood: give the four bytes of PID 01 in hex, as in 00:07:E5:00, or a "
                f"list such as components=ready,catalyst=open of {', '.join(sorted(known))}."
            )
        monitors.append(Monitor(name=found, complete=state.lower() in READY))
    return Readiness(lamp_on=False, stored_codes=0, ignition="spark", monitors=tuple(monitors))


def decode_readiness(status: bytes) -> Readiness:
    """Return the standard monitor status of bytes A to D.

    >>> decode_readiness(bytes.fromhex("8307FF00")).stored_codes
    3
    """
    if len(status) != 4:
        raise InputError(f"a monitor status has four bytes, not {len(status)}: give A, B, C and D of PID 01.")
    a, b, c, d = status
    diesel = bool(b & 0x08)
    monitors = [
        Monitor(name=name, complete=not b & (0x10 << bit))
        for bit, name in enumerate(_table()["common"])
        if b & (1 << bit)
    ]
    monitors += [
        Monitor(name=name, complete=not d & (1 << bit))
        for bit, name in enumerate(_table()["compression" if diesel else "spark"])
        if name and c & (1 << bit)
    ]
    return Readiness(
        lamp_on=bool(a & 0x80),
        stored_codes=a & 0x7F,
        ignition="compression" if diesel else "spark",
        monitors=tuple(monitors),
    )


def weigh_codes(
    quantity: str,
    before: Sequence[str] | None,
    after: Sequence[str] | None,
    pending: Sequence[str] | None,
    readiness: Readiness | None,
) -> Codes:
    """Return which codes are back and which are new, with the sentences that say so."""
    own = set(_table()["codes"].get(quantity, ())) | set(before or ())
    read = [*(after or ()), *(pending or ())]
    back = tuple(dict.fromkeys(code for code in read if code.partition("-")[0] in own or code in own))
    new = tuple(dict.fromkeys(code for code in read if code not in back))
    said: list[str] = []
    clean: list[str] = []
    for codes, word in ((after, "stored"), (pending, "pending")):
        same = [code for code in codes or () if code in back]
        if same:
            said.append(f"{', '.join(same)} {'is' if len(same) == 1 else 'are'} {word} again")
        elif codes is not None and not codes:
            clean.append(f"no {word} code")
    said += clean
    if new:
        said.append(f"new {'code' if len(new) == 1 else 'codes'} {', '.join(new)}")
    if readiness is not None:
        unfinished = readiness.open_monitors
        said.append(
            "all monitors have run"
            if not unfinished
            else f"{len(unfinished)} of {len(readiness.monitors)} monitors have not run to their end: {', '.join(unfinished)}"
        )
        if readiness.stored_codes and not after:
            said.append(
                f"the monitor status counts {readiness.stored_codes} stored "
                f"{'code' if readiness.stored_codes == 1 else 'codes'}: read them"
            )
    return Codes(
        before=None if before is None else tuple(before),
        after=None if after is None else tuple(after),
        pending=None if pending is None else tuple(pending),
        readiness=readiness,
        back=back,
        new=new,
        sentences=tuple(said),
    )


def held_back(codes: Codes) -> tuple[str, ...]:
    """Return why the codes keep a verdict from being `proven`, none where they do not."""
    why = []
    status = codes.readiness
    if status is not None and _table()["decides"] in status.open_monitors:
        why.append(
            "the control unit has not finished its own check of sensors and wiring (monitor: components)"
        )
    if status is not None and status.stored_codes and codes.after is None:
        why.append("the monitor status counts stored codes that nobody has read")
    if codes.counted and codes.after is None:
        why.append("the log after the repair counts stored codes that nobody has read")
    if codes.stale:
        why.append(
            f"{', '.join(codes.stale)} may be the old one: no codes were cleared since the log before, so clear them and drive"
        )
    return tuple(why)
