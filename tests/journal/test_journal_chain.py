"""The chain's formula, apart from any storage."""

import hashlib
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.journal.chain import GENESIS, body_digest, link

BODIES = st.lists(st.text(st.characters(codec="utf-8"), max_size=30), min_size=1, max_size=12)


def run(bodies: list[str]) -> list[bytes]:
    hashes, previous = [], GENESIS
    for body in bodies:
        previous = link(previous, body_digest(body))
        hashes.append(previous)
    return hashes


def test_a_body_enters_by_its_sha256() -> None:
    """SHA-256 of the empty text: FIPS 180-4, value from memory."""
    assert body_digest("").hex() == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"


@given(BODIES)
@settings(derandomize=True, deadline=None, max_examples=50)
def test_the_chain_is_its_formula(bodies: list[str]) -> None:
    previous = bytes(32)
    for body, found in zip(bodies, run(bodies), strict=True):
        previous = hashlib.sha256(previous + hashlib.sha256(body.encode()).digest()).digest()
        assert found == previous


@given(BODIES, st.data())
@settings(derandomize=True, deadline=None, max_examples=100)
def test_any_change_shows_from_there_to_the_end(bodies: list[str], data: st.DataObject) -> None:
    """Changing one body leaves the hashes before it and changes every one from it on."""
    place = data.draw(st.integers(0, len(bodies) - 1))
    other = data.draw(
        st.text(st.characters(codec="utf-8"), max_size=30).filter(lambda text: text != bodies[place])
    )
    before, after = run(bodies), run([*bodies[:place], other, *bodies[place + 1 :]])
    assert before[:place] == after[:place]
    assert all(one != two for one, two in zip(before[place:], after[place:], strict=True))


@given(BODIES, st.data())
@settings(derandomize=True, deadline=None, max_examples=100)
def test_dropping_or_swapping_shows(bodies: list[str], data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(bodies) - 1))
    dropped = bodies[:place] + bodies[place + 1 :]
    assert not dropped or run(dropped)[-1] != run(bodies)[-1]
    swapped = data.draw(st.permutations(bodies))
    assert (run(swapped)[-1] == run(bodies)[-1]) == (swapped == bodies)


@given(BODIES, st.data())
@settings(derandomize=True, deadline=None, max_examples=50)
def test_an_entry_shown_by_its_digest_keeps_its_place(bodies: list[str], data: st.DataObject) -> None:
    """A record withholds some bodies and gives their digests: the same hashes come out."""
    withheld = data.draw(st.sets(st.integers(0, len(bodies) - 1)))
    shown = [body_digest(body) if seq in withheld else body for seq, body in enumerate(bodies)]
    previous = GENESIS
    for one in shown:
        previous = link(previous, one if isinstance(one, bytes) else body_digest(one))
    assert previous == run(bodies)[-1]


@pytest.mark.parametrize(("previous", "digest"), [(b"", bytes(32)), (bytes(32), b""), (bytes(31), bytes(33))])
def test_only_whole_hashes_are_linked(previous: bytes, digest: bytes) -> None:
    with pytest.raises(ValueError, match="32 bytes"):
        link(previous, digest)


def test_the_formula_needs_no_storage() -> None:
    """Whoever checks a record loads neither SQLite nor the models of events."""
    loaded = subprocess.run(
        [sys.executable, "-c", "import sys, station.journal.chain; print(*sys.modules)"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout.split()
    assert "station.journal.chain" in loaded
    assert not {"sqlite3", "pydantic"} & set(loaded)
