"""A record for other programs: its readings as CSV, the whole of it as JSON.

The CSV is that of RFC 4180: a header, one line for each mark and reading in the order of time, lines ended by
CR LF, UTF-8. The JSON is the body as it stands in the file, with the signatures that hold and the verdict on
them; `configs/schemas/record.schema.json` says what stands where.
"""

import csv
import io
import json
import math
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any, Final

from station.errors import RecordError, StationError
from station.files import parse_toml
from station.moments import iso
from station.record.signed import split
from station.record.verify import Signed, Status, Verdict

HEADER: Final = (
    "time_utc",
    "kind",
    "name",
    "mark_depth_fsw",
    "reading_fsw",
    "corrected_fsw",
    "pressure_psig",
    "by",
)
_LISTS: Final = (
    ("mark", "times", "marks", {"mark": "name", "depth_fsw": "mark_depth_fsw"}),
    ("depth", "depth", "readings", {"reading_fsw": "reading_fsw", "corrected_fsw": "corrected_fsw"}),
    ("pressure", "supply", "readings", {"name": "name", "pressure_psig": "pressure_psig"}),
    ("chamber", "chamber", "marks", {"mark": "name", "depth_fsw": "mark_depth_fsw"}),
)
"""Kind, table, list, and the column that each key of a row goes to."""


def as_csv(data: bytes, verdict: Verdict) -> str:
    """Return a record's marks, depth readings and pressures; RecordError when it cannot be read."""
    rows = sorted(_rows(_body(data, verdict)), key=lambda row: row["time_utc"])
    written = io.StringIO()
    table = csv.DictWriter(written, HEADER, restval="", lineterminator="\r\n")
    table.writeheader()
    table.writerows(rows)
    return written.getvalue()


def as_json(data: bytes, verdict: Verdict) -> str:
    """Return the whole record with its signatures and verdict; RecordError when it cannot be read."""
    found = {
        "sha256": verdict.sha256,
        "verdict": {
            "status": str(verdict.status),
            "sound": verdict.sound,
            "problem": verdict.problem,
            "missing": list(verdict.missing),
        },
        "record": _body(data, verdict),
        "signatures": [_signature(one) for one in verdict.signatures],
    }
    return json.dumps(_plain(found), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _body(data: bytes, verdict: Verdict) -> Mapping[str, Any]:
    if verdict.status in {Status.NOT_A_RECORD, Status.NEWER}:
        raise RecordError(f"it cannot be written in another form: {verdict.problem}")
    try:
        return parse_toml(split(data).body, "record")
    except (StationError, ValueError, RecursionError):
        raise RecordError(
            f"it cannot be read, so not be written in another form: {verdict.problem}"
        ) from None


def _rows(body: Mapping[str, Any]) -> Iterator[dict[str, str]]:
    for kind, table, key, places in _LISTS:
        found = body.get(table)
        listed = found.get(key) if isinstance(found, Mapping) else None
        for row in listed if isinstance(listed, list) else ():
            if isinstance(row, Mapping) and isinstance(row.get("at"), datetime):
                named = {place: _cell(row[one]) for one, place in places.items() if one in row}
                by = {"by": _cell(row["by"])} if "by" in row else {}
                yield {"time_utc": _cell(row["at"]), "kind": kind, **named, **by}


def _cell(value: object) -> str:
    found = _plain(value)
    return found if isinstance(found, str) else json.dumps(found)


def _signature(one: Signed) -> dict[str, object]:
    said = one.statement.model_dump()
    return {
        "number": one.number,
        "statement": said,
        "addenda": [dict(added) for added in one.addenda],
        "listed": one.listed,
    }


def _plain(value: object) -> object:
    """Return a value as JSON knows it: moments and dates as text, no number that is none."""
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, datetime):
        return _moment(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value if isinstance(value, str | int | float) or value is None else str(value)


def _moment(value: datetime) -> str:
    try:
        return iso(value) if value.tzinfo else value.isoformat()
    except OverflowError:  # before the year 1 or after 9999 in UTC
        return value.isoformat()
