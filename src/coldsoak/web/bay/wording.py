"""What a stage says to somebody at a terminal, said to somebody at a page: fields instead of options."""

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


def for_pages(sentence: str) -> str:
    """Return a sentence with the names of fields where it has those of options.

    >>> for_pages("run.csv has no column that can be its clock; say how many rows it wrote a second with --rate HZ.")
    'run.csv has no column that can be its clock; say how many rows it wrote a second under “Rows a second”.'
    """
    for pattern, instead in _SAID:
        sentence = pattern.sub(instead, sentence)
    return sentence
