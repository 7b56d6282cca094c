"""The journal in a record: what was said, what was corrected, and every entry with its place in the chain."""

import json
from typing import Any

from station.board.amend import amended
from station.board.entry_words import entry_words
from station.events import EntryAmended, EntryWithdrawn, Event, IncidentNoted, NoteMade
from station.journal.chain import body_digest
from station.journal.interface import Entry
from station.record.document_case import Case, lane_of
from station.record.document_layout import Row, Table


def journal_tables(case: Case) -> list[Table]:
    """Return the tables of remarks, corrections and entries."""
    return [_remarks(case), _corrections(case), _journal(case)]


def _remarks(case: Case) -> Table:
    return Table(
        "remarks",
        "Incidents and notes",
        {"incidents": _said(case, IncidentNoted), "notes": _said(case, NoteMade)},
        "Of this dive, and of the whole station from its planning to its closing.",
    )


def _said(case: Case, kind: type[IncidentNoted | NoteMade]) -> list[Row]:
    told = [*case.of_lane(kind), *case.since_planned(kind)]
    return [
        {"at": event.at, "of": "dive" if event.lane else "station", "text": event.text, "by": event.by}
        for event in case.counted
        if event in told and isinstance(event, IncidentNoted | NoteMade)
    ]


def _corrections(case: Case) -> Table:
    return Table(
        "corrections",
        "Corrections",
        {"amended": _amended(case), "withdrawn": _withdrawn(case)},
        "Amended fields with what stood there before and after; entries that no longer count. Nothing "
        "is erased: every entry stands below as it was made, under its number.",
    )


def _ours(case: Case, event: Event) -> bool:
    return lane_of(event, case.board.log) in {None, case.lane.number}


def _amended(case: Case) -> list[Row]:
    rows: list[Row] = []
    standing = {event.id: event for event in case.board.log}
    numbers = _numbers(case)
    withdrawn = {event.target for event in case.board.log if isinstance(event, EntryWithdrawn)}
    for event in case.board.log:
        if not isinstance(event, EntryAmended) or event.id in withdrawn:
            continue
        before = standing[event.target]
        standing[event.target] = amended(before, event.changes)
        if _ours(case, event):
            rows += _changes(case, numbers[event.target], event, before)
    return rows


def _changes(case: Case, number: int, event: EntryAmended, before: Event) -> list[Row]:
    was = before.model_dump(mode="json")
    now = amended(before, event.changes).model_dump(mode="json")
    return [
        {
            "at": event.at,
            "entry": number,
            "what": entry_words(case.board, before),
            "field": field,
            "was": _shown(was[field]),
            "is": _shown(now[field]),
            "reason": event.reason,
            "by": event.by,
        }
        for field in event.changes
    ]


def _shown(value: Any) -> str:
    return "nothing" if value is None else value if isinstance(value, str) else json.dumps(value)


def _withdrawn(case: Case) -> list[Row]:
    numbers = _numbers(case)
    rows: list[Row] = []
    for event in case.board.log:
        if not isinstance(event, EntryWithdrawn) or not _ours(case, event):
            continue
        target = case.board.find(event.target)
        rows.append(
            {
                "at": event.at,
                "entry": numbers[event.target],
                "what": entry_words(case.board, target) if target else None,
                "was_at": target.at if target else None,
                "was_by": target.by if target else None,
                "reason": event.reason,
                "by": event.by,
            }
        )
    return rows


def _numbers(case: Case) -> dict[str, int]:
    return {entry.event.id: entry.seq for entry in case.entries}


def _journal(case: Case) -> Table:
    head = case.entries[-1]
    return Table(
        "journal",
        "The journal's entries",
        {
            "head": head.seq,
            "head_hash": head.hash.hex(),
            "entries": [_entry(case, entry) for entry in case.entries],
        },
        "Everything above follows from these lines. Each hash is the SHA-256 of 64 bytes: the hash "
        "before it (32 zero bytes before the first), then the SHA-256 of the entry's body. Entries of "
        "other divers' lanes stand here by the digest of their body alone.",
    )


def _entry(case: Case, entry: Entry) -> Row:
    shown: Row = {"body": entry.body}
    if not _ours(case, entry.event):
        shown = {"body_sha256": body_digest(entry.body).hex()}
    return {"seq": entry.seq, "hash": entry.hash.hex(), **shown}
