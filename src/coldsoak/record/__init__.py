"""Record: the job as events in a hash chain, and what customer, next technician and books need of it."""

from coldsoak.record.events import Event
from coldsoak.record.header import Header
from coldsoak.record.job_record import JobRecord

__all__ = ["Event", "Header", "JobRecord"]
