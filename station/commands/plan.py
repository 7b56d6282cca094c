"""`station plan`: the schedule for a depth and a bottom time, and whether the air carries it."""

import json
import re
from argparse import Namespace
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Final

from station.commands.plan_air import PlanAir, air_json, air_lines, plan_air, pressures_of
from station.dive.plan_words import ladder_lines, plan_json, plan_lines
from station.dive.planning import Before, PlanResult, plan
from station.dive.series import EarlierDive
from station.errors import LookUpError, UsageError
from station.events import Gas
from station.files import read_bytes
from station.record.recorded import recorded_dive
from station.shipped import shipped
from station.supply.load import load_supply
from station.supply.model import Supply
from station.tables.load import load_tables
from station.tables.model import Tables
from station.units import from_fsw, parse_depth

CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?")
INTERVAL = re.compile(r"(\d{1,3}):([0-5]\d)")
GASES: Final[dict[str, Gas]] = {"air": "air", "oxygen": "air_oxygen", "surface": "surface_oxygen"}
SHORTEST_MIN: Final = 10


def run(options: Namespace) -> int:
    """Print the plan."""
    path = Path(options.tables) if options.tables else shipped("configs") / "tables" / "usn-rev7-air.toml"
    tables = load_tables(read_bytes(path), str(path))
    depth = from_fsw(parse_depth(options.depth, tables.unit), tables.unit)
    minutes = _minutes(options.time)
    leave_at = _clock(options.leave) if options.leave else None
    planned = partial(
        plan,
        tables,
        depth,
        is_reading=options.reading,
        lengthen=options.colder,
        leave_at=leave_at,
        gas=GASES[options.gas],
        before=_before(options, tables, None if leave_at is None else leave_at - timedelta(minutes=minutes)),
    )
    result = planned(minutes)
    supply = _supply(options)
    air = _air(options, supply, result, planned)
    if options.json:
        print(json.dumps({**plan_json(tables, result), "air": air_json(supply, air)}))
    else:
        print("\n".join(_lines(options, tables, result, air_lines(supply, air))))
    return 0


def _supply(options: Namespace) -> Supply:
    path = Path(options.supply) if options.supply else shipped("configs") / "supply" / "deep-sea-air.toml"
    return load_supply(read_bytes(path), str(path))


def _air(
    options: Namespace, supply: Supply, result: PlanResult, planned: Callable[[int], PlanResult]
) -> PlanAir:
    def plan_at(minute: int) -> PlanResult | None:
        try:
            return planned(minute)
        except LookUpError:
            return None

    if not re.fullmatch(r"[1-9]", options.divers):
        raise UsageError(f"--divers takes a whole number from 1 to 9, not '{options.divers[:40]}'")
    pressures = pressures_of(supply, options.bank or [])
    return plan_air(supply, result, plan_at, int(options.divers), pressures)


def _lines(options: Namespace, tables: Tables, result: PlanResult, air: list[str]) -> list[str]:
    lines = [*plan_lines(tables, result), *air]
    return [*lines, "", *ladder_lines(result)] if options.ladder else lines


def _before(options: Namespace, tables: Tables, begins: datetime | None) -> Before:
    """Return what lies before the dive; after records one without --leave begins now."""
    if options.after:
        if options.group or options.interval:
            raise UsageError("--after reads group and interval from the records; drop --group and --interval")
        begins = begins or datetime.now(UTC)
        earlier = tuple(recorded_dive(read_bytes(Path(name)), name).dive(tables) for name in options.after)
    else:
        begins = begins or datetime.now(UTC).replace(second=0, microsecond=0)
        earlier = _stated(options, tables, begins)
    if options.sum and not options.after:
        raise UsageError("--sum needs the earlier dive's bottom time; name its record with --after")
    return Before(earlier=earlier, by_sum=options.sum, site_ft=_altitude(options.altitude), begins=begins)


def _stated(options: Namespace, tables: Tables, begins: datetime) -> tuple[EarlierDive, ...]:
    """Return the one earlier dive of --group and --interval."""
    if not options.group and not options.interval:
        return ()
    if not (options.group and options.interval):
        raise UsageError(
            "--group and --interval belong together: the group after the last dive, and since when"
        )
    group, known = options.group.upper(), tables.file.groups
    if group not in known:
        raise UsageError(
            f"--group takes one of {', '.join(known) or 'none in these tables'}, not '{group[:9]}'"
        )
    found = INTERVAL.fullmatch(options.interval)
    if not found:
        raise UsageError(f"--interval takes hours and minutes such as 1:30, not '{options.interval[:40]}'")
    interval = 60 * int(found.group(1)) + int(found.group(2))
    if interval < SHORTEST_MIN:
        raise UsageError(
            f"an interval under 0:{SHORTEST_MIN} is none: the two dives are one; plan it by the deeper depth "
            "and the bottom times together"
        )
    surfaced = begins - timedelta(minutes=interval)
    return (EarlierDive(surfaced, group, 0.0, 1, "the dive before"),)


def _altitude(text: str | None) -> float:
    if text is None:
        return 0.0
    if not re.fullmatch(r"[0-9]{1,5}", text):
        raise UsageError(f"--altitude takes whole feet such as 5200, not '{text[:40]}'")
    return float(text)


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
