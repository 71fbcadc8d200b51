"""Judge against general-purpose detectors on the same seeded cases."""
