"""ISO 15765-2: messages of up to 4095 bytes (and more) put together again from CAN frames."""

from dataclasses import dataclass, field


@dataclass
class Reassembly:
    """Puts the frames of one sender together.

    >>> r = Reassembly()
    >>> r.feed(bytes.fromhex("0341057B00000000")).hex()
    '41057b'
    >>> r.feed(bytes.fromhex("1008410C1AF80D64")), r.feed(bytes.fromhex("21057B0000000000")).hex()
    (None, '410c1af80d64057b')
    """

    incomplete: int = 0
    _length: int = 0
    _buffer: bytearray = field(default_factory=bytearray)
    _next: int = 0

    def feed(self, frame: bytes) -> bytes | None:
        """Take one frame; return the message that it completes, if it completes one."""
        if not frame:
            return None
        kind = frame[0] >> 4
        if kind == 0:
            return self._single(frame)
        if kind == 1:
            return self._first(frame)
        if kind == 2:
            return self._consecutive(frame)
        return None  # flow control, or reserved

    def _single(self, frame: bytes) -> bytes | None:
        self._drop()
        length, start = frame[0] & 0x0F, 1
        if length == 0 and len(frame) > 8:  # CAN FD: the length stands in the second byte
            length, start = frame[1], 2
        if not 0 < length <= len(frame) - start:
            self.incomplete += 1
            return None
        return frame[start : start + length]

    def _first(self, frame: bytes) -> bytes | None:
        self._drop()
        if len(frame) < 8:
            self.incomplete += 1
            return None
        length, start = (frame[0] & 0x0F) << 8 | frame[1], 2
        if length == 0:  # longer than 4095 bytes: the length stands in the next four
            length, start = int.from_bytes(frame[2:6], "big"), 6
        self._length, self._buffer, self._next = length, bytearray(frame[start:]), 1
        return None

    def _consecutive(self, frame: bytes) -> bytes | None:
        if not self._length:
            self.incomplete += 1
            return None
        if frame[0] & 0x0F != self._next:
            self._drop()
            return None
        self._next = (self._next + 1) % 16
        self._buffer += frame[1:]
        if len(self._buffer) < self._length:
            return None
        message = bytes(self._buffer[: self._length])
        self._length = 0
        return message

    def _drop(self) -> None:
        """Give up what was begun and not finished."""
        if self._length:
            self.incomplete += 1
            self._length = 0
