"""What signatures cannot show: a journal that was changed before somebody signed it."""

import re
from typing import TYPE_CHECKING

import pytest

from station.journal.chain import GENESIS, body_digest, link
from station.record.content import CONTENT_CHECKS
from station.record.verify import Status, verify_bytes

if TYPE_CHECKING:
    from station.record.signers import AllowedSigners
    from tests.record_document.conftest import Drill, Sign

Change = tuple[str, str]


def test_a_record_of_a_drill_is_sound(survey_body: bytes, sign: "Sign", listed: "AllowedSigners") -> None:
    verdict = verify_bytes(sign(survey_body), listed, CONTENT_CHECKS)
    assert (verdict.status, verdict.problem) == (Status.SOUND, "")
    assert verdict.drill is True


ENTRY = r"    \{ seq = %d, hash = \"[0-9a-f]{64}\", body = '[^\n]*' \},\n"
FLAWS: dict[str, tuple[str, str, str]] = {
    "the body of an entry": (
        '"reading_fsw":104.0',
        '"reading_fsw":94.0',
        r"^its journal was changed: the chain breaks at entry \d+$",
    ),
    "the hash of an entry": (
        r'(seq = 100, hash = ")[0-9a-f]{8}',
        r"\g<1>00000000",
        "^its journal was changed: the chain breaks at entry 100$",
    ),
    "an entry left out": (
        ENTRY % 50,
        "",
        "^its journal is not whole: entry 51 stands where entry 50 belongs$",
    ),
    "two entries swapped": (
        f"({ENTRY % 60})({ENTRY % 61})",
        r"\2\1",
        "^its journal is not whole: entry 61 stands where entry 60 belongs$",
    ),
    "the last entry left out": (
        ENTRY % 176,
        "",
        "^its journal ends with entry 175, but its head is said to be entry 176$",
    ),
    "the number of the head": (
        "head = 176",
        "head = 177",
        "^its journal ends with entry 176, but its head is said to be entry 177$",
    ),
    "the hash of the head": (
        r'(head_hash = ")[0-9a-f]{8}',
        r"\g<1>00000000",
        "^the head of its journal is not the hash of its last entry$",
    ),
    "a drill called a dive": (
        "drill = true",
        "drill = false",
        "^its journal is of a drill, the record says a real dive$",
    ),
    "another lane": (r"\[dive\]\nlane = 1", "[dive]\nlane = 2", "^its journal has no closing of lane 2$"),
    "a lane that is none": (r"\[dive\]\nlane = 1", '[dive]\nlane = "1"', "^its dive.lane is not right: "),
    "no journal": (r"\n\[journal\]\n(.*\n)*", "\n", "^its journal is not right: field required$"),
    "no entries": (r"entries = \[\n(.*\n)*\]\n", "entries = []\n", "^its journal.entries is not right: "),
    "an entry without its body": (
        r"(seq = 50, hash = \"[0-9a-f]{64}\"), body = '[^\n]*' ",
        r"\1 ",
        "^its journal.entries.50 is not right: .*needs either body or body_sha256",
    ),
    "a bottom time of its own": (
        "bottom_time_min = 34",
        "bottom_time_min = 33",
        "^its bottom time of 33 min is not that of its marks, which give 34 min$",
    ),
    "a mark of its own": (
        "at = 2031-05-04T08:03:40.000Z, mark",
        "at = 2031-05-04T08:03:39.000Z, mark",
        "^its times.marks are not the marks of its journal$",
    ),
    "a mark left out": (
        r"    \{ at = [^ ]*, mark = \"left bottom\".*\n",
        "",
        "^its times.marks are not the marks of its journal$",
    ),
    "a field the law asks for": (
        r"visibility = .*\n",
        "",
        r"^it has no conditions.visibility: .*, 29 CFR 1910.423\(d\)\(1\)\(v\)$",
    ),
}


@pytest.mark.parametrize("flaw", FLAWS)
def test_a_change_before_signing_is_found_and_named(flaw: str, survey_body: bytes, sign: "Sign") -> None:
    """Both signatures hold: only the content tells."""
    pattern, new, sentence = FLAWS[flaw]
    text, count = re.subn(pattern, new, survey_body.decode(), count=1)
    assert count == 1
    data = sign(text.encode())
    assert verify_bytes(data).sound
    verdict = verify_bytes(data, None, CONTENT_CHECKS)
    assert verdict.status is Status.ALTERED
    assert re.search(sentence, verdict.problem), verdict.problem


def test_an_entry_of_an_unknown_kind_is_named(played: "Drill", sign: "Sign") -> None:
    """The chain is whole, but what it holds cannot be read."""
    body = _rechained(played, '"kind":"voice.checked"', '"kind":"voice.x"')
    verdict = verify_bytes(sign(body), None, CONTENT_CHECKS)
    assert re.fullmatch(
        r"its journal cannot be read: entry \d+ is no entry that this program knows", verdict.problem
    )


def test_a_journal_without_its_opening_is_named(played: "Drill", sign: "Sign") -> None:
    body = _rechained(played, played.watch.entries[0].body, played.watch.entries[1].body)
    problem = verify_bytes(sign(body), None, CONTENT_CHECKS).problem
    assert problem == "its journal does not begin with the opening of an operation"


def _rechained(drill: "Drill", old: str, new: str) -> bytes:
    """Return a body in which the first entry with `old` has `new`, and every hash is made to fit."""
    text = drill.body().decode()
    previous = GENESIS
    changed = False
    for entry in drill.watch.entries:
        body = entry.body
        if old in body and not changed:
            body, changed = body.replace(old, new), True
        previous = link(previous, body_digest(body))
        text = text.replace(entry.body, body, 1).replace(entry.hash.hex(), previous.hex())
    return text.encode()


def test_bytes_all_over_a_whole_record_changed(survey_body: bytes, sign: "Sign") -> None:
    """Every 97th byte of a drill's record of some 100,000, one bit of it; the soak takes every byte."""
    _flip_every(97, sign(survey_body))


@pytest.mark.soak
def test_every_byte_of_a_whole_record_changed(survey_body: bytes, sign: "Sign") -> None:
    _flip_every(1, sign(survey_body))


def _flip_every(step: int, data: bytes) -> None:
    for at in range(0, len(data), step):
        changed = data[:at] + bytes([data[at] ^ 1 << at % 8]) + data[at + 1 :]
        assert not verify_bytes(changed, None, CONTENT_CHECKS).sound, at
