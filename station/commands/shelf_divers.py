"""`station shelf diver` and `shelf now`: a diver's own log, and where divers stand now."""

import json
import math
from argparse import Namespace
from pathlib import Path
from typing import Any

from station.commands.shelf_lines import ROUNDED, dive_table, entry_json, shown, table, wrapped
from station.commands.shelf_open import moment_of, opened
from station.dive.series import moment_text
from station.errors import LookUpError
from station.moments import iso
from station.setup import load_setup
from station.shelf.diver import DAYS_BACK, Log, Rules, Standing, Totals, divers_of_late, log_of, standing
from station.shelf.query import Query
from station.tables.written import hmm

_ONLY_HERE = "Only what stands on this shelf is known: ask the diver for dives made elsewhere."


def diver(options: Namespace) -> int:
    """Print a diver's log, totals and standing; LookUpError when the shelf knows no such diver."""
    at, rules = moment_of(options), rules_of(options)
    with opened(options) as shelf:
        found = shelf.find(Query(diver=options.diver))
        if not found:
            raise LookUpError(
                f"no record of '{options.diver[:60]}' on the shelf: a diver is known by id or full name"
            )
        stands = standing(shelf, rules, found, at)
        nameless = shelf.select("diver IS NULL AND drill IS NOT 1")
    log = log_of(found)
    if options.json:
        print(json.dumps({**_log_json(log), **standing_json(stands), "of_nobody": len(nameless)}))
        return 0
    lines = [f"{shown(stands.diver_name)} ({shown(stands.diver)})", ""]
    lines += dive_table([*log.counted, *log.unsound]) if log.counted or log.unsound else []
    lines += ["", *_totals_lines(log), "", *standing_lines(stands)]
    if nameless:
        lines.append(f"DOUBT: files that do not tell whose dive they are of: {len(nameless)}")
    print("\n".join([*lines, *wrapped(_ONLY_HERE), ROUNDED]))
    return 0


def now(options: Namespace) -> int:
    """Print where each diver stands who has dived of late."""
    at, rules = moment_of(options), rules_of(options)
    with opened(options) as shelf:
        stands = [standing(shelf, rules, entries, at) for entries in divers_of_late(shelf, at)]
        nameless = len(shelf.select("diver IS NULL AND drill IS NOT 1"))
    if options.json:
        rows = [standing_json(one) for one in stands]
        print(json.dumps({"at": iso(at), "divers": rows, "of_nobody": nameless}))
        return 0
    print(f"At {moment_text(at)} UTC")
    if stands:
        head = ("diver", "surfaced", "interval", "grp then", "grp now", "no flying before")
        print("\n".join(table(head, [_now_row(one) for one in stands], right=("interval",))))
        doubts = [f"{one.diver}: {doubt}" for one in stands for doubt in one.doubts]
        print("\n".join(line for doubt in doubts for line in wrapped(f"DOUBT: {doubt}")), end="")
        print("\n" if doubts else "", end="")
    if nameless:
        print(f"DOUBT: files that do not tell whose dive they are of: {nameless}")
    print(f"Divers with a record of the last {DAYS_BACK} days: {len(stands)}. Interval rounded down.")
    print("\n".join(wrapped(_ONLY_HERE)))
    return 0


def rules_of(options: Namespace) -> Rules:
    """Return the tables and choices of the station file named, else the shipped ones."""
    setup = load_setup(Path(options.station) if options.station else None)
    (digest,) = [use.sha256 for use in setup.uses if use.role == "tables"]
    return Rules(setup.tables, digest, setup.station.choices, setup.station.altitude_ft)


def standing_lines(one: Standing) -> list[str]:
    """Return where a diver stands, in words."""
    lines = [f"At {moment_text(one.at)} UTC"]
    if one.last is None or one.residual is None or one.interval_min is None:
        lines.append(f"no dive of the last {DAYS_BACK} days counts: no repetitive group")
    else:
        lines += [
            f"surfaced          {moment_text(one.last.surfaced)} ({shown(one.last.record)})",
            f"surface interval  {hmm(one.interval_min)} (hours and minutes, rounded down)",
            f"group             {one.last.group or 'none printed'} then, {_group_now(one)} now",
        ]
        lines += wrapped(f"another dive to {math.ceil(one.last.depth_fsw)} fsw: {one.residual.words}")
        lines += wrapped(f"flying (8,000 ft): {one.flying.words}{_over(one)}")
    return lines + [line for doubt in one.doubts for line in wrapped(f"DOUBT: {doubt}")]


def _over(one: Standing) -> str:
    if one.doubts:
        return "; but see the doubts below"
    ended = one.flying.until is not None and one.flying.until <= one.at
    return "; over now" if ended else ""


def _group_now(one: Standing) -> str:
    if one.residual is not None and one.residual.kind == "blocked":
        return "BLOCKED"
    return f"{one.group_now or 'none left'}{' ?' if one.doubts else ''}"


def _now_row(one: Standing) -> tuple[str, ...]:
    if one.last is None or one.interval_min is None:
        return (one.diver, "no dive counts", "", "", "", "")
    return (
        one.diver,
        moment_text(one.last.surfaced),
        hmm(one.interval_min),
        one.last.group or "none",
        _group_now(one),
        _flying(one),
    )


def _flying(one: Standing) -> str:
    if one.flying.kind == "no figure":
        return "NO FIGURE, ask"
    if one.doubts:
        return "DOUBT, ask"
    if one.flying.until is None or one.flying.until <= one.at:
        return "may fly"
    return moment_text(one.flying.until)


def _totals_lines(log: Log) -> list[str]:
    head = ("year", "dives", "bottom time", "deepest fsw", "last dive ended")
    rows = [(str(year), *_totals_row(one)) for year, one in log.by_year.items()]
    lines = table(head, [*rows, ("all", *_totals_row(log.totals))], right=head[1:4])
    left_out = {"drills": log.drills, "further copies": log.twice, "not sound": len(log.unsound)}
    told = ", ".join(f"{what} {count}" for what, count in left_out.items() if count)
    return [*lines, f"Not in the totals: {told}."] if told else lines


def _totals_row(one: Totals) -> tuple[str, ...]:
    last = moment_text(one.last) if one.last else ""
    return (str(one.dives), hmm(one.bottom_min), str(math.ceil(one.deepest_fsw)), last)


def _totals_json(one: Totals) -> dict[str, Any]:
    return {
        "dives": one.dives,
        "bottom_time_min": one.bottom_min,
        "deepest_fsw": one.deepest_fsw,
        "last": iso(one.last) if one.last else None,
    }


def _log_json(log: Log) -> dict[str, Any]:
    return {
        "log": [entry_json(one) for one in log.counted],
        "not_sound": [entry_json(one) for one in log.unsound],
        "drills": log.drills,
        "further_copies": log.twice,
        "totals": _totals_json(log.totals),
        "by_year": {str(year): _totals_json(one) for year, one in log.by_year.items()},
    }


def standing_json(one: Standing) -> dict[str, Any]:
    """Return where a diver stands for JSON."""
    return {
        "diver": one.diver,
        "diver_name": one.diver_name,
        "at": iso(one.at),
        "surfaced": iso(one.last.surfaced) if one.last else None,
        "interval_min": one.interval_min,
        "group_then": one.last.group if one.last else None,
        "group_now": one.group_now,
        "residual": one.residual.kind if one.residual else None,
        "residual_min": one.residual.minutes if one.residual else None,
        "why": one.residual.words if one.residual else None,
        "flying": one.flying.kind,
        "no_flying_before": iso(one.flying.until) if one.flying.until else None,
        "flying_why": one.flying.words,
        "counted": list(one.counted),
        "doubts": list(one.doubts),
    }
