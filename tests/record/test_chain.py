"""The hash chain.

Expected hashes: this project's own construction, h_n = SHA-256(bytes(h_{n-1}) followed by the canonical JSON), worked out
once with hashlib and rfc8785 alone.
"""

import hashlib

from hypothesis import given
from hypothesis import strategies as st

from coldsoak.record.chain import START, hashes, link

FIRST = {"seq": 1, "text": "opened"}
SECOND = {"seq": 2, "text": "closed"}


def test_two_links() -> None:
    first = "03dba400be470afa7e8d258ea5d5e2e76abcf556251bab32d99eec95b3c7100f"
    second = "105ca1ad237e75deed939367962d60584654e3eeedfccf59af6c20198f68adf7"
    assert link(START, FIRST) == first
    assert hashes([FIRST, SECOND]) == (first, second)


def test_the_bytes_of_a_hash_are_the_32_it_stands_for() -> None:
    """The other reading, 64 letters, gives another hash; by hand with hashlib."""
    text = b'{"seq":1,"text":"opened"}'
    assert link(START, FIRST) == hashlib.sha256(bytes(32) + text).hexdigest()
    assert link(START, FIRST) != hashlib.sha256(START.encode() + text).hexdigest()


@given(
    st.lists(st.dictionaries(st.text(max_size=5), st.integers(0, 9), max_size=3), min_size=2, max_size=6),
    st.data(),
)
def test_every_hash_after_a_change_is_another(entries: list[dict[str, int]], data: st.DataObject) -> None:
    """SHA-256 has no known collision, so a changed entry moves its own hash and all after it, and none before."""
    at = data.draw(st.integers(0, len(entries) - 1))
    changed = [*entries[:at], {**entries[at], "more": 1}, *entries[at + 1 :]]
    if changed == entries:
        return
    old, new = hashes(entries), hashes(changed)
    assert old[:at] == new[:at]
    assert not set(old[at:]) & set(new[at:])
