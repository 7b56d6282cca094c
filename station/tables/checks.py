"""Every check a table file must pass, in order, and which printed exceptions the file itself declares.

What is printed can be checked against itself: the time to the first stop gives the number of stops, the
stops give the total, groups and totals never fall. A wrong figure keyed in breaks nearly always one of these.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from station.files import Problem
from station.tables.check_names import names
from station.tables.check_order import by_depth_checks, by_time
from station.tables.check_rows import air_totals, first_rows, oxygen_totals, stop_numbers, times_to_first_stop
from station.tables.check_sections import (
    altitude,
    corrections,
    intervals,
    no_stop_times,
    residual_times,
    same_figures,
)
from station.tables.finding import Finding
from station.tables.lookup import lay_out
from station.tables.model import CheckMade, KnownException, TableFile, Tables


@dataclass(frozen=True)
class Check:
    """A check by the name that a file's known exceptions call it, and in words."""

    name: str
    words: str
    find: Callable[[Tables], Iterator[Finding]]


FIRST = (Check("names and order", "rows in order, groups and classes of exposure declared", names),)
"""What the other checks stand on: they are not tried on a file that fails here."""

CHECKS = (
    Check("number of stops", "stops run from the first to the last without a gap", stop_numbers),
    Check(
        "time to first stop",
        "time to first stop = travel from the depth at the ascent rate",
        times_to_first_stop,
    ),
    Check("air total", "total ascent on air = time to first stop + stops + last ascent", air_totals),
    Check("oxygen total", "the same on air/oxygen, with its travel and air breaks", oxygen_totals),
    Check("first row", "the first row at a depth is the no-stop limit with its group", first_rows),
    Check("rows by time", "totals, chamber periods and groups never fall as bottom time grows", by_time),
    *(
        Check(f"{what} by depth", f"{what} never fall as depth grows, minute by minute", find)
        for what, find in by_depth_checks()
    ),
    Check(
        "no-stop times",
        "longest times grow with the group and end at the limit; limits fall with depth",
        no_stop_times,
    ),
    Check("same figures", "printed tables agree on every depth that two of them list", same_figures),
    Check("surface intervals", "intervals of each group are gapless and lead down group by group", intervals),
    Check("residual times", "residual times grow with the group and fall with depth", residual_times),
    Check("gauge corrections", "corrections grow with the reading", corrections),
    Check("altitude", "waits grow with group and rise, arrival groups with altitude", altitude),
)


def run_checks(file: TableFile) -> tuple[tuple[CheckMade, ...], list[Problem]]:
    """Return the checks made, with counts, and the problems found; no problems means the file is sound."""
    tables = lay_out(file, "", "", ())
    made, problems = _run(FIRST, tables)
    if problems:
        return made, problems
    more, problems = _run(CHECKS, tables)
    return made + more, problems


def _run(checks: tuple[Check, ...], tables: Tables) -> tuple[tuple[CheckMade, ...], list[Problem]]:
    made: list[CheckMade] = []
    problems: list[Problem] = []
    needed: set[int] = set()
    for check in checks:
        count = excepted = 0
        for finding in check.find(tables):
            count += 1
            if not finding.fault:
                continue
            at = _excepted(check.name, finding, tables.file.known_exceptions)
            if at is None:
                problems.append((finding.key, finding.fault))
            else:
                needed.add(at)
                excepted += 1
        made.append(CheckMade(check.name, check.words, count, excepted))
    if checks is CHECKS:
        problems.extend(_unneeded(tables.file.known_exceptions, needed))
    return tuple(made), list(dict.fromkeys(problems))


def _excepted(name: str, finding: Finding, declared: tuple[KnownException, ...]) -> int | None:
    """Return which declared exception covers a finding, with the very difference it declares."""
    for at, one in enumerate(declared):
        if (one.check, (one.depth, one.time), one.off_by_s) == (name, finding.row, finding.off_by_s):
            return at
    return None


def _unneeded(declared: tuple[KnownException, ...], needed: set[int]) -> Iterator[Problem]:
    known = [check.name for check in CHECKS]
    for at, one in enumerate(declared):
        key = f"known_exceptions[{at + 1}]"
        if one.check not in known:
            yield f"{key}.check", f"there is no check '{one.check}'; there are: {', '.join(known)}"
        elif at not in needed:
            yield key, f"not needed: {one.depth}/{one.time} does not fail '{one.check}' like this; remove it"
