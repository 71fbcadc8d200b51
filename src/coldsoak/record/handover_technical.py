"""The technical record: what the next technician needs."""

from collections.abc import Sequence
from dataclasses import dataclass

from coldsoak.record import handover_basis as basis
from coldsoak.record import handover_findings as findings
from coldsoak.record import handover_work as work
from coldsoak.record.handover_blocks import Fact, Frame, Section
from coldsoak.record.handover_frame import Press, frame, vehicle_facts
from coldsoak.record.handover_headline import headline
from coldsoak.record.handover_proof import proof_section
from coldsoak.record.handover_read import text
from coldsoak.record.handover_spoken import spoken
from coldsoak.record.handover_verdicts import proof_of
from coldsoak.record.plots_source import Plotted


@dataclass(frozen=True)
class TechnicalRecord:
    """Everything that the template of the technical record may use."""

    frame: Frame
    kicker: str
    headline: str
    proof: str
    facts: tuple[Fact, ...]
    complaint_name: str
    complaint: str
    sections: tuple[Section, ...]


def technical_record(of: Press, sources: Sequence[Plotted]) -> TechnicalRecord:
    """Return what the technical record shows."""
    say, opened = of.words.say, of.record.opened.body
    sections = (
        findings.plot_section(of, sources),
        findings.judgement_section(of),
        findings.measured_section(of),
        findings.codes_section(of),
        proof_section(of),
        work.torque_section(of),
        work.fluid_section(of),
        work.parts_section(of),
        basis.overrides_section(of),
        work.tray_section(of),
        work.steps_section(of),
        basis.tools_section(of),
        basis.cautions_section(of),
        basis.notes_section(of),
        basis.people_section(of),
        basis.basis_section(of),
    )
    return TechnicalRecord(
        frame=frame(of, say("Technical record")),
        kicker=say("For the next technician"),
        headline=headline(of),
        proof=spoken(of.measures, text(proof_of(of), "sentence")),
        facts=(Fact(say("Work order"), opened.job), *vehicle_facts(of)),
        complaint_name=say("Complaint"),
        complaint=opened.complaint,
        sections=tuple(one for one in sections if one is not None),
    )
