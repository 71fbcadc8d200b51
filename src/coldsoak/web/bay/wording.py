"""What a stage says to somebody at a terminal, said to somebody at a page: fields instead of options.

Most sentences have a wording of their own; an option in any other is replaced by the name of its field, so that none is
shown. What has no field is an option of `coldsoak serve` or of a command at the desk, and keeps its name.
"""

import re

_SAID = (
    (re.compile(r"; name (one|them) with --map(?: '([^']*)')?"), r"; say what they are under “Channels”, as in NAME=fluid_temp[degC]"),
    (re.compile(r"say so with --map '([^']*)'"), r"say so under “Channels”: \1"),
    (re.compile(r"; override with --map NAME=QUANTITY\[UNIT\]"), "; “Channels” can say it otherwise, as NAME=QUANTITY[UNIT]"),
    (re.compile(r"; override with --map"), "; “Channels” can say it otherwise"),
    (re.compile(r"with --map"), "under “Channels”"),
    (re.compile(r" with --rate HZ"), " under “Rows a second”"),
    (re.compile(r", such as --rate 10"), ", such as 10"),
    (re.compile(r"as --rate says"), "as “Rows a second” says"),
    (re.compile(r"with --channel"), "under “Channel”"),
    (re.compile(r" `coldsoak log FILE` lists the names\."), ""),
    (re.compile(r"list it with --out, as in '[^']*', or say --first-fill for a unit that was apart"), "note it in the ledger"),
    (re.compile(r" with --out, as in '[^']*'"), " in the ledger"),
    (re.compile(r" with --out"), " in the ledger"),
    (re.compile(r" and give it with --fluid, as in --fluid ('[^']*') when that is what it says"), r" and type it, \1 when that is what it says"),
    (re.compile(r"name what reads it with --thermometer, one of [^.]*"), "choose what reads it"),
    (re.compile(r"name another thermometer with --thermometer, one of [^.]*"), "choose another thermometer"),
    (re.compile(r"say the verdict on it with --judged, one of [^,]*, [^,]*, [^,]*, or name another"), "judge a log of it first, or choose another"),
    (re.compile(r" \(--prices FILE\)"), ""),
    (re.compile(r"and run prove again with --pair-after"), "note both here, and prove again"),
    (re.compile(r"then run prove again with the new log as --also-after"), "then put the new log in here and prove again"),
    (re.compile(r"say so with --same-vehicle"), "tick that it is, then prove again"),
    (re.compile(r"Add a log in which it failed with --also-before"), "Put in a log in which it failed, on the page of judge"),
    (re.compile(r"name parts with --replace, or a service with --service \([^)]*\)"), "tick a service or a part"),
)  # fmt: skip

FIELDS = {
    "--map": "“Channels”",
    "--rate": "“Rows a second”",
    "--channel": "“Channel”",
    "--out": "the ledger",
    "--in": "the ledger",
    "--first-fill": "“Level before the job”",
    "--fluid": "“Fluid on the bottle”",
    "--thermometer": "“What reads the fluid”",
    "--judged": "the page of judge",
    "--exchange-to": "“Old fluid down to”",
    "--prices": "the shop's prices",
    "--crib": "the shop's tools",
    "--replace": "the parts to tick",
    "--service": "the services to tick",
    "--same-vehicle": "the tick that it is the same vehicle",
    "--also-before": "the page of judge",
    "--also-after": "the log of the drive",
    "--pair-after": "a reading beside a thermometer",
    "--bench": "a resistance",
    "--pair": "a reading beside a thermometer",
    "--curve": "the curve on the unit sheet",
    "--unit": "the unit sheet",
}
"""What a page has for an option."""
_OPTION = re.compile(r"(\bwith )?(?<![\w-])(--[a-z][a-z-]*)")


def for_pages(sentence: str) -> str:
    """Return a sentence with the names of fields where it has those of options.

    >>> for_pages("run.csv has no column that can be its clock; say how many rows it wrote a second with --rate HZ.")
    'run.csv has no column that can be its clock; say how many rows it wrote a second under “Rows a second”.'
    >>> for_pages("name it with --channel or --thermometer.")
    'name it under “Channel” or “What reads the fluid”.'
    """
    for pattern, instead in _SAID:
        sentence = pattern.sub(instead, sentence)
    return _OPTION.sub(_field, sentence)


def _field(found: re.Match[str]) -> str:
    field = FIELDS.get(found[2])
    return found[0] if field is None else f"{'under ' if found[1] else ''}{field}"
