"""The sums of a record's invoices added up again: their own lines are all that it takes."""

from coldsoak.record.checked import Again
from coldsoak.record.job_record import JobRecord


def wrong_sums(job: JobRecord) -> tuple[Again, ...]:
    """Return the invoices that stand and whose sums are not those of their lines."""
    found = ((one.seq, one.body.wrong_sum) for one in job.invoices)
    return tuple(
        Again(
            event=seq, stage="invoice", same=False, sentence=f"invoice (event {seq}) does not add up: {wrong}"
        )
        for seq, wrong in found
        if wrong is not None
    )
