"""Putting statements and signatures under a record."""

import tomllib
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from station.errors import FileError, RecordError, StorageError
from station.record import keys, signed, signing, verify
from station.record.signed import Addendum, Declaration
from station.record.verify import Status

BODY = b'[record]\nformat = 1\ndrill = true\n\n[signing]\nrequired = ["timekeeper", "supervisor"]\n'
MIRA, JON = keys.new_key(), keys.new_key()
AT = datetime(2031, 5, 4, 9, 15, 30, 250000, tzinfo=UTC)


def declaration(**changes: Any) -> Declaration:
    fields: dict[str, Any] = {
        "person": "mira-holt",
        "name": "Mira Holt",
        "role": "supervisor",
        "at": AT,
        "meaning": "I have read this record and stand by it.",
    }
    return Declaration(**{**fields, **changes})


def addendum(**changes: Any) -> Addendum:
    fields: dict[str, Any] = {
        "corrects": "supply.readings[41].source",
        "text": "Bank 2, not bank 3.",
        "reason": "The bank number was misread.",
        "by": "mira-holt",
        "at": AT,
    }
    return Addendum(**{**fields, **changes})


TIMEKEEPER = declaration(person="jon-ek", name="Jon Ek", role="timekeeper", meaning="I kept these times.")


def both() -> bytes:
    return signing.add_signature(signing.add_signature(BODY, declaration(), MIRA), TIMEKEEPER, JON)


ONE = signing.add_signature(BODY, declaration(), MIRA)


def test_signing_adds_a_statement_and_a_signature_and_changes_no_earlier_byte() -> None:
    one = signing.add_signature(BODY, declaration(), MIRA)
    assert one.startswith(BODY)
    document = tomllib.loads(one.decode())
    assert document["statement"] == [
        {
            "person": "mira-holt",
            "name": "Mira Holt",
            "role": "supervisor",
            "meaning": "I have read this record and stand by it.",
            "key": MIRA.fingerprint,
            "drill": True,
            "at": AT,
        }
    ]
    assert [list(table) for table in document["signature"]] == [["value"]]
    assert signing.add_signature(one, TIMEKEEPER, JON).startswith(one)


@pytest.mark.parametrize("order", ["supervisor first", "timekeeper first"])
def test_those_who_must_sign_may_sign_in_any_order(order: str) -> None:
    pairs = [(declaration(), MIRA), (TIMEKEEPER, JON)]
    data = BODY
    for said, key in pairs if order == "supervisor first" else pairs[::-1]:
        assert verify.verify_bytes(data).status is Status.UNSIGNED
        data = signing.add_signature(data, said, key)
    assert verify.verify_bytes(data).status is Status.SOUND


def test_the_record_cut_after_an_earlier_signature_is_a_shorter_record() -> None:
    data = both()
    first = verify.verify_bytes(data).signatures[0]
    cut = b"".join(data.splitlines(keepends=True)[: first.end_line])
    assert cut == signing.add_signature(BODY, declaration(), MIRA)


def test_an_addendum_is_signed_in_turn_and_may_be_signed_by_the_same_people() -> None:
    data = signing.add_signature(both(), declaration(), MIRA, [addendum()])
    data = signing.add_signature(data, TIMEKEEPER, JON)
    verdict = verify.verify_bytes(data)
    assert (verdict.status, len(verdict.signatures)) == (Status.SOUND, 4)
    assert [one.addenda for one in verdict.signatures] == [(), (), (addendum(),), ()]
    assert tomllib.loads(data.decode())["addendum"] == [dict(addendum())]
    assert data.startswith(both())
    with pytest.raises(RecordError, match="jon-ek has signed this record as timekeeper already"):
        signing.add_signature(data, TIMEKEEPER, JON)


def test_what_nobody_signed_is_corrected_on_the_journal() -> None:
    with pytest.raises(RecordError, match="nobody has signed the record yet: correct the journal"):
        signing.add_signature(BODY, declaration(), MIRA, [addendum()])


@pytest.mark.parametrize(
    "place",
    ["", "line 0", "line 12x", "Times.bottom", "times..bottom", "readings[0]", "times.bottom\n", "a" * 121],
)
def test_an_addendum_corrects_a_place_of_the_record(place: str) -> None:
    assert addendum(corrects="line 120").corrects == "line 120"
    with pytest.raises(ValidationError, match="corrects"):
        addendum(corrects=place)


def test_nobody_signs_twice_in_one_role_but_may_sign_in_two() -> None:
    data = both()
    with pytest.raises(RecordError, match="mira-holt has signed this record as supervisor already"):
        signing.add_signature(data, declaration(at=datetime(2031, 5, 5, tzinfo=UTC)), MIRA)
    again = signing.add_signature(data, declaration(role="diver"), MIRA)
    assert verify.verify_bytes(again).sound


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "it is empty"),
        (BODY[:-1], "unfinished"),
        (BODY.replace(b"\n", b"\r\n"), "carriage return"),
        (BODY.replace(b"[signing]", b"[singing]"), r"no table \[signing\]"),
        (BODY.replace(b"format = 1", b"format = 2"), "format 2"),
        (BODY + b"[[statement]]\nx = 1\n", "statement without signature"),
        (BODY + b"broken\n", "not valid TOML"),
    ],
    ids=["empty", "no last newline", "crlf", "no signing", "newer", "stray statement", "not toml"],
)
def test_a_body_out_of_order_is_not_signed(data: bytes, why: str) -> None:
    with pytest.raises(RecordError, match=f"cannot be signed: .*{why}"):
        signing.add_signature(data, declaration(), MIRA)


def test_an_altered_record_is_not_signed_further() -> None:
    data = signing.add_signature(BODY, declaration(), MIRA).replace(b"stand by it", b"stand by me")
    with pytest.raises(RecordError, match="signature 1 does not match"):
        signing.add_signature(data, TIMEKEEPER, JON)


@pytest.mark.parametrize(
    "text",
    [
        '[[signature]]\nvalue = """\nx',
        '"""\n[[statement]]\n',
        "\\",
        "a\tb\x7f\u2028\u00e9 \U0001f93f",
        "'''",
        "\r\n",
    ],
)
def test_no_text_in_a_string_passes_for_a_table(text: str) -> None:
    shown = "".join(one if one.isprintable() or one == "\n" else "?" for one in text)
    said = declaration(meaning=f"x{shown}x", name=f"x{shown}x".replace("\n", " "))
    verdict = verify.verify_bytes(signing.add_signature(both(), said, MIRA, [addendum(text=f"x{shown}x")]))
    assert (verdict.status, len(verdict.signatures)) == (Status.SOUND, 3)
    assert verdict.signatures[2].statement.meaning == said.meaning
    assert verdict.signatures[2].addenda[0].text == f"x{shown}x"


SHOWN = st.text(
    max_size=60, alphabet=st.characters(codec="utf-8").filter(lambda one: one.isprintable() or one == "\n")
)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(SHOWN, SHOWN)
def test_whatever_is_said_is_read_back(text: str, meaning: str) -> None:
    said, more = declaration(meaning=f"x{meaning}x"), addendum(text=f"x{text}x", reason=f"x{meaning}x")
    verdict = verify.verify_bytes(signing.add_signature(ONE, said, MIRA, [more]))
    assert verdict.signatures[1].statement.model_dump(exclude={"key", "drill"}) == said.model_dump()
    assert verdict.signatures[1].addenda == (more,)


def test_a_file_is_signed_in_place_and_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "record.toml"
    path.write_bytes(BODY)
    path.chmod(0o640)
    new = signing.sign_file(path, declaration(), MIRA)
    assert path.read_bytes() == new == signing.add_signature(BODY, declaration(), MIRA)
    assert path.stat().st_mode & 0o777 == 0o640
    assert [one.name for one in tmp_path.iterdir()] == ["record.toml"]


def test_a_file_that_cannot_be_written_is_left_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "record.toml"
    with pytest.raises(FileError, match="no such file"):
        signing.sign_file(path, declaration(), MIRA)
    path.write_bytes(BODY)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(StorageError, match=r"record\.toml cannot be written: No space left on device"):
        signing.sign_file(path, declaration(), MIRA)
    assert path.read_bytes() == BODY
    assert [one.name for one in tmp_path.iterdir()] == ["record.toml"]


def test_a_record_signed_by_somebody_else_meanwhile_keeps_their_signature(tmp_path: Path) -> None:
    """The other signs between our reading and our writing, seen here from the key that signs."""
    path = tmp_path / "record.toml"
    path.write_bytes(BODY)
    theirs = signing.add_signature(BODY, TIMEKEEPER, JON)

    class SlowKey:
        blob = MIRA.blob

        def sign_bytes(self, data: bytes) -> bytes:
            path.write_bytes(theirs)
            return MIRA.sign_bytes(data)

    with pytest.raises(StorageError, match="changed by somebody else"):
        signing.sign_file(path, declaration(), SlowKey())
    assert path.read_bytes() == theirs
    assert verify.verify_bytes(signing.sign_file(path, declaration(), MIRA)).sound


def test_the_layout_adds_up_to_the_file() -> None:
    data = signing.add_signature(both(), declaration(role="diver"), MIRA, [addendum()])
    layout = signed.split(data)
    pieces = [layout.body, *(part.segment + data[part.header : part.end] for part in layout.parts)]
    assert b"".join([*pieces, layout.rest]) == data
    assert layout.body == BODY + b"\n"
