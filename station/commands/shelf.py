"""`station shelf find`, `shelf retention`, `shelf rebuild`."""

import json
from argparse import Namespace
from pathlib import Path

from station.commands.shelf_lines import ROUNDED, dive_table, entry_json, shown, table, wrapped
from station.commands.shelf_open import day_of, jobs_of, moment_of, opened
from station.setup import load_setup
from station.shelf.query import Query
from station.shelf.retention import Retention
from station.shelf.retention import retention as kept
from station.units import parse_depth

_NOTHING_GOES = (
    "The day named is the last on which the record is kept. Nothing is discarded here: other papers, another "
    "law or an inquiry may ask for longer."
)


def find(options: Namespace) -> int:
    """List the dives that every condition holds for."""
    query = query_of(options)
    with opened(options) as shelf:
        found = shelf.find(query)
        there = shelf.refreshed.there
    if options.json:
        print(json.dumps({"files": there, "found": [entry_json(one) for one in found]}))
        return 0
    if found:
        print("\n".join(dive_table(found)))
    unsound = sum(not one.sound for one in found)
    print(f"{len(found)} of {there} files on the shelf{f', {unsound} not sound' if unsound else ''}.")
    if found:
        print(ROUNDED)
    return 0


def query_of(options: Namespace) -> Query:
    """Return what is asked for; UsageError when a day or a depth is none."""
    return Query(
        diver=options.diver,
        since=day_of(options.since, "--from"),
        until=day_of(options.until, "--to"),
        place=options.place,
        deeper_fsw=parse_depth(options.deeper, "fsw") if options.deeper else None,
        shallower_fsw=parse_depth(options.shallower, "fsw") if options.shallower else None,
        deviation=options.deviation,
        unsound=options.unsound,
        drill=options.drill,
    )


def retention(options: Namespace) -> int:
    """List up to which day each record is kept."""
    today = moment_of(options).date()
    authorities = load_setup(Path(options.station) if options.station else None).authorities
    with opened(options) as shelf:
        found = [kept(one, authorities) for one in shelf.each()]
    over = sum(one.may_go(today) for one in found)
    listed = [one for one in found if one.may_go(today) or not options.over]
    if options.json:
        rows = [
            {
                **entry_json(one.entry),
                "keep_until": one.until.isoformat() if one.until else None,
                "by": one.paragraph,
                "may_be_discarded": one.may_go(today),
            }
            for one in listed
        ]
        print(json.dumps({"day": today.isoformat(), "records": rows}))
        return 0
    for one in listed:
        print("\n".join(_retention_lines(one, may_go=one.may_go(today))))
    print(f"{len(found)} files; {over} may be discarded on {today}.")
    print("\n".join(wrapped(_NOTHING_GOES)))
    return 0


def _retention_lines(one: Retention, *, may_go: bool) -> list[str]:
    day = one.until.isoformat() if one.until else "KEEP"
    state = "may be discarded" if may_go else "kept"
    return [f"{day:<10}  {state:<16}  {shown(one.entry.name)}", *wrapped(one.paragraph, " " * 12)]


def rebuild(options: Namespace) -> int:
    """Make the index anew."""
    with opened(options, jobs=jobs_of(options), afresh=True) as shelf:
        read = shelf.refreshed.read
    if options.json:
        print(json.dumps({"files": read}))
    else:
        print("\n".join(table(("index made anew from", "files"), [("", str(read))], right=("files",))))
    return 0
