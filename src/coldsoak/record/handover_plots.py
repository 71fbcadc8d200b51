"""The plots before and after for a document, labelled in its units and language, or why there are none."""

from collections.abc import Sequence

from coldsoak.record.handover_blocks import Plot
from coldsoak.record.handover_frame import Press
from coldsoak.record.handover_read import about, worked_on
from coldsoak.record.handover_verdicts import name_of
from coldsoak.record.plots import Curve, Scale, temperature_plot, value_range
from coldsoak.record.plots_source import Plotted
from coldsoak.units import convert


def plots(
    of: Press, sources: Sequence[Plotted], width: float, height: float, *, named: bool = False
) -> tuple[Plot, ...]:
    """Return a plot for every log whose readings are at hand, all with the same range; `named` ones say their file."""
    scale = _scale(of)
    curves = [one.curve for one in sources if one.curve is not None]
    limits = value_range(curves, scale)
    return tuple(
        _plot(of, one, one.curve, scale, limits, (width, height), named=named)
        for one in sources
        if one.curve is not None
    )


def left_out(of: Press, sources: Sequence[Plotted]) -> tuple[str, ...]:
    """Return one sentence for every plot that is not there."""
    say = of.words.say
    if not sources:
        return (say("No log is kept with this record, so there is no plot."),)
    return tuple(
        say(
            "The plot of {file} is left out: the log was not at hand when this was printed (SHA-256 {hash}).",
            file=one.file,
            hash=one.sha256[:12],
        )
        for one in sources
        if one.curve is None
    )


def _scale(of: Press) -> Scale:
    us = of.measures.us
    return Scale(
        time_name=of.words.say("minutes from the start of the log"),
        value_name=of.words.say("°F") if us else of.words.say("°C"),
        value=(lambda value_c: convert(value_c, "degC", "degF")) if us else (lambda value_c: value_c),
        number=lambda value: of.measures.number(value, 3, trim=True),
    )


def _plot(
    of: Press,
    source: Plotted,
    curve: Curve,
    scale: Scale,
    limits: tuple[float, float],
    size: tuple[float, float],
    *,
    named: bool,
) -> Plot:
    words, count = of.words, len(curve.episodes)
    job = about(of.record)
    if not curve.judged:
        marked = words.say("not judged")
    elif not count and job is not None and job.open_for(source.sha256):
        marked = words.say("too little to tell")
    elif count:
        marked = words.many(
            "{n} hatched stretch that cannot be true", "{n} hatched stretches that cannot be true", count
        )
    else:
        marked = words.say("no stretch that cannot be true")
    when = words.say("Before the repair") if source.moment == "before" else words.say("After the repair")
    if not worked_on(of.record):
        when = words.say("As it came in")
    caption = words.say("{when}: {marked}", when=when, marked=marked)
    if named:
        caption = words.say("{caption} ({file})", caption=caption, file=source.file)
    name = name_of(words, job) if job is not None else words.say("temperature")
    alt = words.say(
        "{when}: {temperature} over {time}, {marked}",
        when=when,
        temperature=name,
        time=of.measures.duration(float(curve.time_s[-1])),
        marked=marked,
    )
    return Plot(temperature_plot(curve, scale, alt, limits, *size), caption, alt)
