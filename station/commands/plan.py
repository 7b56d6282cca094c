"""`station plan`: the schedule for a depth and a bottom time."""

import json
import re
from argparse import Namespace
from datetime import UTC, datetime
from pathlib import Path

from station.dive.planning import plan, plan_json, plan_lines
from station.errors import UsageError
from station.files import read_bytes
from station.shipped import shipped
from station.tables.load import load_tables
from station.units import from_fsw, parse_depth

CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?")


def run(options: Namespace) -> int:
    """Print the plan."""
    path = Path(options.tables) if options.tables else shipped("configs") / "tables" / "usn-rev7-air.toml"
    tables = load_tables(read_bytes(path), str(path))
    depth = from_fsw(parse_depth(options.depth, tables.unit), tables.unit)
    minutes = _minutes(options.time)
    result = plan(
        tables,
        depth,
        minutes,
        is_reading=options.reading,
        lengthen=options.colder,
        leave_at=_clock(options.leave) if options.leave else None,
    )
    print(json.dumps(plan_json(result)) if options.json else "\n".join(plan_lines(tables, result)))
    return 0


def _minutes(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,6}", text):
        raise UsageError(f"TIME, the bottom time, is whole minutes such as 33, not '{text[:40]}'")
    return int(text)


def _clock(text: str) -> datetime:
    found = CLOCK.fullmatch(text)
    if not found:
        raise UsageError(f"--leave takes a clock time such as 14:05 or 14:05:30, not '{text[:40]}'")
    hours, minutes, seconds = (int(part or 0) for part in found.groups())
    return datetime.now(UTC).replace(hour=hours, minute=minutes, second=seconds, microsecond=0)
