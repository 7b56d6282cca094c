"""A record as CSV and JSON: what comes out is what went in, and the published schema says what it is."""

import copy
import csv
import io
import json
import tomllib
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

import pytest
from jsonschema import Draft202012Validator

from station.errors import RecordError
from station.moments import iso
from station.record.export import HEADER, as_csv, as_json
from station.record.verify import Status
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.print.conftest import Bodies, Judge, Printable, Write

SURVEY = "ossary-dam/gate-survey-1"
SCHEMA: dict[str, Any] = json.loads(
    (shipped("configs") / "schemas" / "record.schema.json").read_text(encoding="utf-8")
)
VALIDATOR = Draft202012Validator(SCHEMA)


def test_the_schema_is_one_of_draft_2020_12() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_the_schema_knows_every_verdict() -> None:
    assert SCHEMA["properties"]["verdict"]["properties"]["status"]["enum"] == [str(one) for one in Status]


def listed(fields: Mapping[str, Any]) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    for key, value in fields.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            yield key, value


@pytest.fixture(scope="module")
def exported(signed: "Printable", judge: "Judge") -> dict[str, Any]:
    data = signed(SURVEY)
    found: dict[str, Any] = json.loads(as_json(data, judge(data)))
    return found


def test_the_json_says_what_the_file_says(exported: dict[str, Any], bodies: "Bodies") -> None:
    body = tomllib.loads(bodies[SURVEY].decode())
    assert exported["record"]["times"]["marks"][0]["at"] == iso(body["times"]["marks"][0]["at"])
    assert exported["record"]["depth"]["readings"][3]["corrected_fsw"] == 106.0
    assert exported["record"]["journal"]["entries"][0]["body"] == body["journal"]["entries"][0]["body"]
    assert [one["statement"]["role"] for one in exported["signatures"]] == ["timekeeper", "supervisor"]


Change = Callable[[dict[str, Any]], object]
WRONG: dict[str, Change] = {
    "no verdict": lambda all_: all_.pop("verdict"),
    "sound with a problem": lambda all_: all_["verdict"].update(problem="the chain breaks at entry 3"),
    "not sound, yet of sound status": lambda all_: all_["verdict"].update(sound=False),
    "unheard-of status": lambda all_: all_["verdict"].update(status="fine", sound=False),
    "short digest": lambda all_: all_.update(sha256="abc"),
    "key beside the record": lambda all_: all_.update(more=1),
    "no people": lambda all_: all_["record"].pop("people"),
    "format of another version": lambda all_: all_["record"]["record"].update(format=2),
    "drill as a word": lambda all_: all_["record"]["record"].update(drill="yes"),
    "bottom time in halves": lambda all_: all_["record"]["times"].update(bottom_time_min=34.5),
    "bottom time below zero": lambda all_: all_["record"]["times"].update(bottom_time_min=-1),
    "local time": lambda all_: all_["record"]["times"]["marks"][0].update(at="2031-05-04T07:30:00+02:00"),
    "no such month": lambda all_: all_["record"]["dive"].update(date="2031-13-04"),
    "depth as text": lambda all_: all_["record"]["depth"]["readings"][0].update(corrected_fsw="63"),
    "reading without a reader": lambda all_: all_["record"]["supply"]["readings"][0].pop("by"),
    "unit of length": lambda all_: all_["record"]["ascent"].update(unit="ft"),
    "nobody must sign": lambda all_: all_["record"]["signing"].update(required=[]),
    "entry with body and digest": lambda all_: all_["record"]["journal"]["entries"][0].update(
        body_sha256="0" * 64
    ),
    "entry with neither": lambda all_: all_["record"]["journal"]["entries"][0].pop("body"),
    "key that is no fingerprint": lambda all_: all_["signatures"][0]["statement"].update(key="MD5:00"),
    "table that is none": lambda all_: all_["record"].update(extra=3),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_the_schema_refuses_what_is_wrong(wrong: str, exported: dict[str, Any]) -> None:
    spoilt = copy.deepcopy(exported)
    WRONG[wrong](spoilt)
    assert len(list(VALIDATOR.iter_errors(spoilt))) == 1


def test_a_table_of_another_authority_passes(exported: dict[str, Any]) -> None:
    more = copy.deepcopy(exported)
    more["record"]["harbour_board"] = {"licence": "HB-77"}
    assert VALIDATOR.is_valid(more)


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_csv_is_that_of_rfc_4180(bodies: "Bodies", write: "Write", judge: "Judge") -> None:
    """RFC 4180, section 2: CR LF ends each line (1), a header (3), quotes around commas and quotes (6, 7)."""
    body = tomllib.loads(bodies[SURVEY].decode())
    name = 'Bank 1, the "old" one'
    body["supply"]["readings"][0]["name"] = name
    data = write(body)
    text = as_csv(data, judge(data))
    assert text.startswith(",".join(HEADER) + "\r\n")
    assert text.count("\n") == text.count("\r\n")
    assert text.endswith("\r\n")
    assert '"Bank 1, the ""old"" one"' in text
    assert rows_of(text)[0]["name"] == name
    assert all(len(row) == len(HEADER) and None not in row for row in rows_of(text))


@pytest.mark.parametrize("form", [as_csv, as_json])
@pytest.mark.parametrize(
    "data", [b"", b"hello", b"[record]\nformat = 9\n", b'[record]\nformat = 1\ntitle = "']
)
def test_what_cannot_be_read_is_refused_in_words(
    form: Callable[..., str], data: bytes, judge: "Judge"
) -> None:
    with pytest.raises(RecordError, match="another form"):
        form(data, judge(data))


def test_moments_and_numbers_that_json_has_not_got_become_text_or_nothing(
    bodies: "Bodies", write: "Write", judge: "Judge"
) -> None:
    body = tomllib.loads(bodies[SURVEY].decode())
    body["depth"]["maximum_fsw"] = float("nan")
    body["harbour_board"] = {"at": datetime.fromisoformat("0001-01-01T00:00:00+12:00")}
    data = write(body)
    found = json.loads(as_json(data, judge(data)))
    assert found["record"]["depth"]["maximum_fsw"] is None
    assert found["record"]["harbour_board"]["at"] == "0001-01-01T00:00:00+12:00"
