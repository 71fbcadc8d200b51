"""Readings in: one reader per log format, one value out."""

from coldsoak.logs.log import Channel, Gap, Log, Provenance, Unreadable
from coldsoak.logs.read import read_log
from coldsoak.logs.summary import summary
from coldsoak.logs.writers import write_log

__all__ = ["Channel", "Gap", "Log", "Provenance", "Unreadable", "read_log", "summary", "write_log"]
