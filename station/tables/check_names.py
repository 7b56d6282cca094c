"""First check of a table file: rows stand in order, and every group and class they use is declared."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from station.tables.finding import Finding
from station.tables.model import TableFile, Tables


def names(tables: Tables) -> Iterator[Finding]:
    """Yield one finding per row: its place in the order, its group and its class."""
    file = tables.file
    yield from _once("groups", file.groups)
    yield from _once("exposures", [one.name for one in file.exposures])
    yield from _unless_on(file)
    yield from _schedules(file)
    for at, table in enumerate(file.no_stop, 1):
        yield from _rising(f"no_stop[{at}].rows", "depth", [(row.depth,) for row in table.rows])
        for number, row in enumerate(table.rows, 1):
            yield _groups_in_order(f"no_stop[{at}].rows[{number}].longest", file, row.longest)
    yield from _residual(file)
    yield from _intervals(file)
    yield from _altitude(file)


def _unless_on(file: TableFile) -> Iterator[Finding]:
    for number, one in enumerate(file.exposures, 1):
        fault = ""
        if one.unless_on and not one.exceptional:
            fault = "only an exceptional class may be one unless on a gas; this one is not exceptional"
        elif "air" in one.unless_on:
            fault = "must not name air: a class that is none on air is not exceptional at all"
        elif len(set(one.unless_on)) < len(one.unless_on):
            fault = f"names the same gas twice: {', '.join(one.unless_on)}"
        yield Finding(f"exposures[{number}].unless_on", fault)


def _schedules(file: TableFile) -> Iterator[Finding]:
    rows = file.schedules.rows
    classes = [one.name for one in file.exposures]
    yield from _rising("schedules.rows", "time", [(row.depth, row.time) for row in rows])
    for number, row in enumerate(rows, 1):
        key = f"schedules.rows[{number}]"
        fault = "" if row.exposure in classes else f"'{row.exposure}' is not among the exposures of this file"
        yield Finding(f"{key}.exposure", fault)
        if row.group is not None:
            yield _declared(f"{key}.group", file, row.group)
        if (row.oxygen_stops is None) != (row.oxygen_total is None):
            yield Finding(key, "oxygen_stops and oxygen_total belong together; one is missing")
        if row.oxygen_stops is not None and file.oxygen is None:
            yield Finding(f"{key}.oxygen_stops", "the file has no section [oxygen] to say how it is breathed")


def _residual(file: TableFile) -> Iterator[Finding]:
    for at, table in enumerate(file.residual, 1):
        yield from _rising(f"residual[{at}].rows", "depth", [(row.depth,) for row in table.rows])
        for number, row in enumerate(table.rows, 1):
            key = f"residual[{at}].rows[{number}].times"
            missing = [group for group in file.groups if group not in row.times]
            surplus = [group for group in row.times if group not in file.groups]
            yield Finding(key, f"group {missing[0]} is missing" if missing else "")
            yield Finding(key, f"group {surplus[0]} is not declared in groups" if surplus else "")
            if "†" in row.times.values() and table.read_down_to is None:
                yield Finding(key, 'holds "†" but this table has no read_down_to')


def _intervals(file: TableFile) -> Iterator[Finding]:
    if file.surface_interval is None:
        return
    for number, interval in enumerate(file.surface_interval.rows, 1):
        for name in ("group", "after"):
            yield _declared(f"surface_interval.rows[{number}].{name}", file, getattr(interval, name))


def _altitude(file: TableFile) -> Iterator[Finding]:
    if file.altitude_wait is not None:
        rises = file.altitude_wait.rises_ft
        yield from _rising("altitude_wait", "rises_ft", [(rise,) for rise in rises])
        for number, wait in enumerate(file.altitude_wait.rows, 1):
            key = f"altitude_wait.rows[{number}]"
            yield _declared(f"{key}.group", file, wait.group)
            as_many = len(wait.waits) == len(rises)
            yield Finding(
                f"{key}.waits", "" if as_many else f"{len(wait.waits)} waits for {len(rises)} rises"
            )
    if file.altitude_arrival is not None:
        rows = file.altitude_arrival.rows
        yield from _rising("altitude_arrival.rows", "altitude_ft", [(row.altitude_ft,) for row in rows])
        for number, arrival in enumerate(rows, 1):
            yield _declared(f"altitude_arrival.rows[{number}].group", file, arrival.group)


def _once(key: str, words: Sequence[str]) -> Iterator[Finding]:
    for word in words:
        yield Finding(key, f"'{word}' stands more than once" if words.count(word) > 1 else "")


def _rising(key: str, name: str, values: Sequence[tuple[int, ...]]) -> Iterator[Finding]:
    for number, (before, here) in enumerate(pairwise(values), 2):
        one, other = ("/".join(map(str, value)) for value in (here, before))
        fault = "" if before < here else f"{one} must come after {other}, and only once"
        yield Finding(f"{key}[{number}].{name}", fault)


def _declared(key: str, file: TableFile, group: str) -> Finding:
    return Finding(key, "" if group in file.groups else f"group {group} is not declared in groups")


def _groups_in_order(key: str, file: TableFile, used: Iterable[str]) -> Finding:
    listed = list(used)
    unknown = [group for group in listed if group not in file.groups]
    if unknown:
        return Finding(key, f"group {unknown[0]} is not declared in groups")
    in_order = sorted(listed, key=file.groups.index)
    return Finding(key, "" if listed == in_order else "groups do not stand in the order of groups")
