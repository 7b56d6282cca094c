"""Nothing done to a signed record leaves it sound: bytes, lengths, lines, line ends, signatures moved."""

import itertools
import random
from pathlib import Path
from typing import Final

import pytest
import zoo
from hypothesis import given, settings
from hypothesis import strategies as st

from station.record import signers
from station.record.content import CONTENT_CHECKS
from station.record.signed import split
from station.record.verify import Verdict, verify_bytes

HERE: Final = Path(__file__).parent / "zoo"
LISTED: Final = signers.load(HERE / "allowed_signers")
SOUND: Final = {name: data for name, data in zoo.sound().items() if name != "sound-drill"}
PLAIN, ADDED = SOUND["sound"], SOUND["sound-addendum"]


def verdict_on(data: bytes) -> Verdict:
    return verify_bytes(data, LISTED, CONTENT_CHECKS)


def ends(data: bytes) -> list[int]:
    """Return where each signature ends."""
    return [part.end for part in split(data).parts]


def flip(data: bytes, at: int, bit: int) -> bytes:
    return data[:at] + bytes([data[at] ^ 1 << bit]) + data[at + 1 :]


def test_the_records_are_sound_before() -> None:
    assert all(verdict_on(data).sound for data in SOUND.values())
    assert verdict_on(ADDED).signatures[2].addenda


def test_a_bit_of_any_byte_of_a_record_with_an_addendum() -> None:
    """One bit of each byte, each bit in its turn; the soak takes all eight."""
    for at in range(len(ADDED)):
        assert not verdict_on(flip(ADDED, at, at % 8)).sound, at


@pytest.mark.soak
def test_every_bit_of_every_byte_of_a_record_with_an_addendum() -> None:
    for at, bit in itertools.product(range(len(ADDED)), range(8)):
        assert not verdict_on(flip(ADDED, at, bit)).sound, (at, bit)


def test_cut_at_any_length() -> None:
    """Never sound before all have signed; cut after that, it is at most the record as it once was.

    Which file is the latest only the journal can tell: it names the digest of each signature.
    """
    found = [length for length in range(len(ADDED)) if verdict_on(ADDED[:length]).sound]
    assert found == ends(ADDED)[1:-1]
    assert ADDED[: found[0]] == PLAIN


def test_cut_from_the_front_or_in_the_middle_by_any_line() -> None:
    lines = ADDED.splitlines(keepends=True)
    for first in range(len(lines)):
        assert not verdict_on(b"".join(lines[first + 1 :])).sound, first
        assert not verdict_on(b"".join([*lines[:first], *lines[first + 1 :]])).sound, first
        assert not verdict_on(b"".join([*lines[: first + 1], *lines[first:]])).sound, first


def test_lines_swapped_near_and_far() -> None:
    """Every neighbour, and some hundreds of pairs further apart."""
    lines = ADDED.splitlines(keepends=True)
    chosen = random.Random(29)  # noqa: S311 - nothing secret
    pairs = [(at, at + 1) for at in range(len(lines) - 1)]
    pairs += chosen.sample(list(itertools.combinations(range(len(lines)), 2)), 400)
    for first, second in pairs:
        if lines[first] == lines[second]:
            continue
        other = list(lines)
        other[first], other[second] = lines[second], lines[first]
        assert not verdict_on(b"".join(other)).sound, (first, second)


def test_line_ends_of_another_system() -> None:
    assert not verdict_on(ADDED.replace(b"\n", b"\r\n")).sound
    assert not verdict_on(ADDED.replace(b"\n", b"\r")).sound
    for at, byte in enumerate(ADDED):
        if byte == 0x0A:
            assert not verdict_on(ADDED[:at] + b"\r" + ADDED[at:]).sound, at


def test_signatures_moved_between_records_and_within_one() -> None:
    """Each signature, alone and with its statement, put in the place of each other one."""
    taken = [(data, part) for data in SOUND.values() for part in split(data).parts]
    for (data, part), (other, new) in itertools.permutations(taken, 2):
        alone = data[: part.header] + other[new.header : new.end] + data[part.end :]
        start = part.header - len(part.segment)
        whole = data[:start] + new.segment + other[new.header : new.end] + data[part.end :]
        for moved in (alone, whole):
            assert moved in SOUND.values() or not verdict_on(moved).sound or _is_older(moved)


def _is_older(data: bytes) -> bool:
    """Return whether a record is one of ours as it stood after an earlier signature."""
    return any(data == whole[:end] for whole in SOUND.values() for end in ends(whole))


@settings(max_examples=300, derandomize=True, deadline=None)
@given(
    st.one_of(
        st.binary(min_size=1, max_size=60),
        st.text(st.characters(codec="utf-8"), min_size=1, max_size=60).map(str.encode),
    )
)
def test_text_after_the_end(more: bytes) -> None:
    verdict = verdict_on(ADDED + more)
    assert not verdict.sound
    assert verdict.problem


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.binary(max_size=40), st.integers(0, len(ADDED)), st.integers(0, 60))
def test_whatever_is_put_in_or_taken_out(put: bytes, at: int, gone: int) -> None:
    changed = ADDED[:at] + put + ADDED[at + gone :]
    assert verdict_on(changed).sound is (changed == ADDED or _is_older(changed))
