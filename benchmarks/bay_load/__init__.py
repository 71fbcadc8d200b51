"""Devices that load the bay."""
