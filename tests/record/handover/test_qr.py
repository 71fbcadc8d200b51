"""The QR code says the record's hash, read back by the rules of ISO/IEC 18004 and not by the library that drew it.

A text of 64 bytes at error correction M needs version 5 (table 7: 84 bytes): 37 modules a side, data in two blocks of 43
codewords (table 9), one alignment pattern with its middle at (30, 30) (annex E).
"""

import re

from coldsoak.record.handover_qr import qr_svg

SIDE, BORDER = 37, 4
MASKS = [
    lambda i, j: (i + j) % 2,
    lambda i, _: i % 2,
    lambda _, j: j % 3,
    lambda i, j: (i + j) % 3,
    lambda i, j: (i // 2 + j // 3) % 2,
    lambda i, j: i * j % 2 + i * j % 3,
    lambda i, j: (i * j % 2 + i * j % 3) % 2,
    lambda i, j: ((i + j) % 2 + i * j % 3) % 2,
]


def modules(svg: str) -> list[list[bool]]:
    """Dark and light modules from the drawing: strokes one unit high along the middle of each row."""
    field = [[False] * SIDE for _ in range(SIDE)]
    (path,) = re.findall(
        r'<path[^>]*stroke="#000[^"]*"[^>]*d="([^"]+)"|<path[^>]*d="([^"]+)"[^>]*stroke="#000', svg
    )
    x = y = 0.0
    for command, first, second in re.findall(r"([Mmh])(-?[\d.]+)(?:[ ,]?(-?[\d.]+))?", path[0] or path[1]):
        if command == "M":
            x, y = float(first), float(second)
        elif command == "m":
            x, y = x + float(first), y + float(second)
        else:
            for n in range(int(float(first))):
                field[int(y) - BORDER][int(x) + n - BORDER] = True
            x += float(first)
    return field


def is_function(i: int, j: int) -> bool:
    finder = (i < 9 and (j < 9 or j >= SIDE - 8)) or (i >= SIDE - 8 and j < 9)
    return finder or i == 6 or j == 6 or (28 <= i <= 32 and 28 <= j <= 32)


def read(field: list[list[bool]]) -> str:
    form = [field[8][j] for j in (0, 1, 2, 3, 4)]
    level_and_mask = int("".join(str(int(bit)) for bit in form), 2) ^ 0b10101
    assert level_and_mask >> 3 == 0b00, "error correction M"
    mask = MASKS[level_and_mask & 7]
    bits, upward, right = [], True, SIDE - 1
    while right > 0:
        right -= right == 6
        for i in range(SIDE - 1, -1, -1) if upward else range(SIDE):
            columns = [j for j in (right, right - 1) if not is_function(i, j)]
            bits += [field[i][j] ^ (mask(i, j) == 0) for j in columns]
        upward, right = not upward, right - 2
    words = [int("".join(str(int(b)) for b in bits[n : n + 8]), 2) for n in range(0, len(bits) - 7, 8)]
    data = words[0:86:2] + words[1:86:2]
    stream = "".join(f"{word:08b}" for word in data)
    assert stream[:4] == "0100", "byte mode"
    count = int(stream[4:12], 2)
    return bytes(int(stream[12 + 8 * n : 20 + 8 * n], 2) for n in range(count)).decode("ascii")


def test_the_code_says_the_hash() -> None:
    for digits in ("03dba400be470afa" * 4, "f" * 64, "1234567890abcdef" * 4):
        assert read(modules(qr_svg(digits))) == digits
