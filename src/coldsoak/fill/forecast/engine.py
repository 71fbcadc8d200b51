"""Whether the engine runs, from its speed where that is known."""

RUNNING_RPM = 200.0
STOPPED_S = 60.0  # a shorter halt is one of stop and start


class Engine:
    """Follows the engine speed; `running` is None while it is not known.

    >>> engine = Engine()
    >>> engine.changes(0.0, 0.0), engine.changes(2.0, 750.0), engine.changes(4.0, 760.0), engine.running
    (True, True, False, True)
    >>> engine.changes(6.0, 0.0), engine.changes(70.0, 0.0), engine.running
    (False, True, False)
    """

    def __init__(self) -> None:
        self.running: bool | None = None
        self._off_since_s: float | None = None

    def changes(self, time_s: float, rpm: float | None) -> bool:
        """Take in an engine speed and say whether the engine has started, or has been stopped for good."""
        if rpm is None:
            return False
        before = self.running
        if rpm >= RUNNING_RPM:
            self._off_since_s, self.running = None, True
        else:
            self._off_since_s = time_s if self._off_since_s is None else self._off_since_s
            if before is None or time_s - self._off_since_s >= STOPPED_S:
                self.running = False
        return self.running is not before
