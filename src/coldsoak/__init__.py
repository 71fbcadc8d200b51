"""Coldsoak: a workbench for an independent transmission technician."""

from coldsoak._version import __version__

__all__ = ["__version__"]
