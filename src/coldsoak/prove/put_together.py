"""The proof, put together from what was found: what every kind of fault needs in it, said and counted alike."""

from typing import Any

from coldsoak.prove.assumptions import Assumptions
from coldsoak.prove.driven import timeline
from coldsoak.prove.exposure import Exposure
from coldsoak.prove.proof import Proof
from coldsoak.prove.say import Said, say
from coldsoak.prove.words import where

CAUTIONS = ("road_test", "hot_exhaust", "hot_fluid")
"""What to mind on a drive; the first of them where nothing but the road is left."""


def put_together(said: Said, exposures: tuple[Exposure, Exposure], assume: Assumptions, **more: Any) -> Proof:
    """Return the proof; `exposures` are what was driven before and after, `more` what only this kind of fault has."""
    sentence, next_step = say(said)
    first, second = said.sides
    return Proof(
        verdict=said.verdict,
        episodes_before=exposures[0].events,
        exposure_before_s=first.exposure_s,
        episodes_after=said.count,
        exposure_after_s=second.exposure_s,
        chance_still_there=said.chance,
        drive_more_s=said.more_s,
        sentence=sentence,
        next_step=next_step,
        channel=said.before[0].channel,
        quantity=said.before[0].quantity,
        fault=said.fault,
        where=said.bands,
        where_words=where(said.bands),
        before=first,
        after=second,
        timeline_before=timeline(exposures[0], said.bands),
        timeline_after=timeline(exposures[1], said.bands),
        soak=said.standing.soak,
        circuit=said.standing.circuit,
        codes=said.codes,
        new_troubles=said.troubles,
        held_back=said.held,
        assumptions=assume,
        **more,
    )
