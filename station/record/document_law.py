"""The law in a record: which key answers which paragraph, what is missing and why, how long it is kept.

All of it comes from the rule files in use; no list of any law is code. What a record was asked for stands in
the record itself, so that its completeness is judged without those files.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from station.board.law import all_gaps, asked_of, circumstances, entered, record_kept
from station.events import GapExplained
from station.law.asked import PLACE_UNNAMED, Asked, asked_fields
from station.law.conditions import SICKNESS, applies
from station.law.model import Authority, Ruled, load_authority
from station.record.document_case import Case
from station.record.document_layout import Row, Table
from station.setup import AUTHORITIES
from station.shipped import shipped

_FROM: Final = (
    "basis: on what ground the paragraph is given here; whatever is not `read` was not held against it."
)


def law_tables(case: Case) -> list[Table]:
    """Return the tables of what the law asks for and of what is missing."""
    return [_law(case), _gaps(case)]


def paragraphs(authorities: Sequence[Authority], table: str) -> str:
    """Return the paragraphs that a table answers, as a note above it; "" when it answers none."""
    found: dict[str, list[str]] = {}
    for one in authorities:
        for field in one.asked:
            named = found.setdefault(one.cite, [])
            if field.paragraph not in named and any(key.startswith(f"{table}.") for key in field.keys):
                named.append(field.paragraph)
    cited = [f"{cite} {', '.join(named)}" for cite, named in found.items() if named]
    return f"{'; '.join(cited)}." if cited else ""


def _law(case: Case) -> Table:
    authorities = case.setup.authorities
    dive = circumstances(case.board, case.lane, case.dive)
    missing = {gap.key for gap in all_gaps(case.board, case.lane, case.dive)}
    kept = record_kept(case.board, case.lane, case.dive)
    others = [("chamber", "chamber"), ("after sickness", "sickness"), ("papers", "retention")]
    return Table(
        "law",
        "What the law asks for",
        {
            "authorities": [one.title for one in authorities],
            "outside_no_stop": dive.outside_no_stop,
            "mixed_gas": dive.mixed_gas,
            "sickness_suspected": dive.sickness,
            "asked": [_asked(one, missing) for one in asked_of(case.board, case.lane, case.dive)],
            "equipment": [row for one in authorities for row in _equipment(case, one)],
            "other": [
                _other(of, one, rule)
                for one in authorities
                for of, name in others
                for rule in getattr(one, name)
                if applies(rule.when, dive)
            ],
            "keep_until": kept.until if kept else None,
            "keep_by": kept.paragraph if kept else None,
        },
        "Fields that are asked for of this dive, with the keys that answer them; one that is missing stands "
        "under [gaps] with the reason. keep_until: the record is kept up to this day at the least, longer "
        "where other papers or another law ask for it. Local law comes first. " + _FROM,
    )


def _asked(one: Asked, missing: set[str]) -> Row:
    return {
        "paragraph": one.paragraph,
        "what": one.what,
        "keys": list(one.keys),
        "basis": one.basis,
        "answer": "explained" if missing & set(one.keys) else "stands",
    }


def _equipment(case: Case, one: Authority) -> Iterator[Row]:
    """Yield each test with the dated tests of the supply file that answer it, and whether often enough."""
    for rule in one.tests:
        dated = [test for test in case.setup.supply.tests if test.kind == rule.dated_as]
        rare = [test.id for test in dated if rule.every_months and test.every_months > rule.every_months]
        yield {
            "paragraph": one.cited(rule.paragraph),
            "what": rule.what,
            "every_months": rule.every_months,
            "dated_under_supply_tests": [test.id for test in dated] or None,
            "less_often_than_asked": rare or None,
            "basis": rule.basis,
        }


def _other(of: str, one: Authority, rule: Ruled) -> Row:
    return {"of": of, "paragraph": one.cited(rule.paragraph), "what": rule.what, "basis": rule.basis}


def _gaps(case: Case) -> Table:
    said = {one.key: one for one in entered(case.lane, GapExplained)}
    rows: list[Row] = [
        {
            "key": gap.key,
            "what": gap.what,
            "paragraphs": [one.paragraph for one in gap.asked],
            "why": said[gap.key].words if gap.key in said else None,
            "at": said[gap.key].at if gap.key in said else None,
            "by": said[gap.key].by if gap.key in said else None,
        }
        for gap in all_gaps(case.board, case.lane, case.dive)
    ]
    return Table(
        "gaps",
        "What is asked for and missing",
        {"explained": rows},
        "Each with the supervisor's words on why; a record without them cannot be closed.",
    )


def unanswered(body: Mapping[str, Any]) -> tuple[tuple[Asked, str], ...]:
    """Return every key that is asked for and neither stands in the body nor is explained, with who asks."""
    said = {row.get("key") for row in _rows(body, "gaps", "explained") if row.get("why")}
    return tuple(
        (asked, key)
        for asked in _asked_in(body)
        for key in asked.keys
        if key not in said and not _stands(body, *key.split(".", 1))
    )


def _asked_in(body: Mapping[str, Any]) -> tuple[Asked, ...]:
    """Return what a record says that it was asked for; by the shipped rule files where it does not say."""
    rows = _rows(body, "law", "asked")
    if rows:
        return tuple(
            Asked(str(row.get("paragraph")), str(row.get("what")), _keys(row), "read") for row in rows
        )
    paths = [shipped("configs") / name for name in AUTHORITIES]
    authorities = [load_authority(path.read_bytes(), str(path)) for path in paths]
    usual = [
        one.model_copy(update={"asked": tuple(field for field in one.asked if SICKNESS not in field.when)})
        for one in authorities
    ]
    return asked_fields(usual)


def _keys(row: Mapping[str, Any]) -> tuple[str, ...]:
    keys = row.get("keys")
    return tuple(key for key in keys if isinstance(key, str) and "." in key) if isinstance(keys, list) else ()


def _rows(body: Mapping[str, Any], table: str, key: str) -> list[Mapping[str, Any]]:
    found = body.get(table)
    rows = found.get(key) if isinstance(found, Mapping) else None
    return [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []


def _stands(body: Mapping[str, Any], table: str, key: str) -> bool:
    found = body.get(table)
    value = found.get(key) if isinstance(found, Mapping) else None
    return value is not None and value not in ([], "", PLACE_UNNAMED)
