"""The air in a record: sources and what became of them, tests with their dates, readings, sums."""

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from station.board.air import air_now
from station.board.air_figures import air_of
from station.board.entry_words import entry_words
from station.board.entry_words_air import source_name
from station.board.fold import fold
from station.board.state import Board
from station.dive.text import GAS_WORDS
from station.events import (
    BankFilled,
    ChangedOver,
    GasChosen,
    MarkName,
    SampleTaken,
    SourceLost,
    SourceRestored,
    SupplyRead,
    TestDone,
)
from station.record.document_case import Case
from station.record.document_layout import Row, Table
from station.supply.cover import Coverage
from station.supply.model import Bank, Compressor

OXYGEN_MARKS: Final[tuple[MarkName, ...]] = ("on_oxygen", "off_oxygen", "oxygen_lost")


def air_table(case: Case) -> Table:
    """Return the table of the air supply."""
    return Table(
        "supply",
        "Air supply",
        {
            "breathing_gas": _breathed(case),
            "gas_chosen": _chosen(case),
            "sources": [_source(one) for one in case.setup.supply.in_order],
            "changes": [*_changes(case)],
            "tests": [*_tests(case)],
            "readings": _readings(case),
            "sums": [*_sums(case)],
        },
        "sources in the order of change-over. Every change of source and every gauge reading of the station "
        "from the planning of this dive to its closing, and the last of each gauge before it. tests as they "
        "stood when the diver left the surface. sums for everybody in the water, the standby as the supply "
        "file says, needs rounded up and air rounded down, to the end of the minute they name; spare_scf "
        "below 0 is missing, the reserve kept. gas_chosen: for the way up, by the supervisor; air where "
        "nothing was chosen.",
    )


def _breathed(case: Case) -> str:
    """Return what the diver breathed, by what was chosen and marked."""
    oxygen = [mark for mark in case.lane.marks if mark.mark in OXYGEN_MARKS]
    if oxygen:
        return "air; oxygen from and to the marks on oxygen, off oxygen and oxygen lost under [times]"
    return "air"


def _chosen(case: Case) -> list[Row]:
    return [
        {"at": event.at, "gas": GAS_WORDS[event.gas], "reason": event.reason, "by": event.by}
        for event in case.of_lane(GasChosen)
    ]


def _source(one: Bank | Compressor) -> Row:
    row: Row = {"id": one.id, "name": one.name, "role": one.role, "feeds": list(one.feeds)}
    if isinstance(one, Compressor):
        own: Row = {"delivers_scfm": one.delivers_scfm, "delivers_psig": one.delivers_psig}
    else:
        own = {
            "flasks_on_line": one.flasks_on_line,
            "flasks_in_bank": one.flasks_in_bank,
            "floodable_cu_ft": one.floodable_cu_ft,
            "working_psig": one.working_psig,
            "minimum_psig": one.minimum_psig,
        }
    return {**row, **own, "figures_from": one.source}


def _changes(case: Case) -> Iterator[Row]:
    for event in case.counted:
        kinds = ChangedOver | SourceLost | SourceRestored | BankFilled
        if isinstance(event, kinds) and event.at >= case.lane.plan.at:
            what = entry_words(case.board, event)
            yield {"at": event.at, "source": event.source, "what": what, "by": event.by}


def _tests(case: Case) -> Iterator[Row]:
    at = _moment(case, "left_surface") or case.closed.at
    board = _board_at(case, at)
    last = {event.test: event for event in sorted(board.tests, key=lambda one: one.on)}
    failed = {one.id: one.words for one in air_of(board, at).failed}
    ages = {one.id: one for one in air_of(board, at).ages}
    for test in case.setup.supply.tests:
        age, event = ages.get(test.id), last.get(test.id)
        yield {
            "id": test.id,
            "name": test.name,
            "on": event.on if event else age.on if age else None,
            "due": age.due if age else None,
            "state": _state(failed.get(test.id), out=age is None or age.out_of_date),
            "result": _result(board, event),
            "by": event.by if event else None,
        }


def _state(failed: str | None, *, out: bool) -> str:
    return "failed" if failed else "out of date" if out else "in date"


def _result(board: Board, event: TestDone | SampleTaken | None) -> str | None:
    return None if event is None else entry_words(board, event)


def _readings(case: Case) -> list[Row]:
    return [
        {
            "at": event.at,
            "source": event.source,
            "name": source_name(case.board, event.source),
            "pressure_psig": event.pressure_psig,
            "by": event.by,
        }
        for event in (*_planned_by(case), *case.since_planned(SupplyRead))
    ]


def _planned_by(case: Case) -> list[SupplyRead]:
    """Return the last reading of each gauge before the dive was planned: the plan goes by these."""
    before = sorted(
        (one for one in case.of_station(SupplyRead) if one.at < case.lane.plan.at), key=lambda one: one.at
    )
    return sorted({one.source: one for one in before}.values(), key=lambda one: one.at)


def _sums(case: Case) -> Iterator[Row]:
    """Yield the sums at planning, on leaving the surface and on leaving the bottom."""
    moments = (
        ("planned", case.lane.plan.at),
        ("left surface", _moment(case, "left_surface")),
        ("left bottom", _moment(case, "left_bottom")),
    )
    for when, at in moments:
        if at is None:
            continue
        air = air_now(_board_at(case, at), at)
        sums = air.sums
        ways = [("without the primary", sums.without_primary)]
        ways = [("leaving then", sums.leave_now), *ways] if when == "left bottom" else ways
        ways = ways if when == "left bottom" else [("as planned", sums.planned), *ways]
        for way, found in ways:
            if found is not None:
                yield {"at": at, "when": when, "way": way, **_sum(found)}


def _sum(found: Coverage) -> Row:
    known = found.known
    return {
        "need_scf": found.need_scf,
        "usable_scf": found.usable_scf if known else None,
        "reserve_scf": found.reserve_scf if known else None,
        "spare_scf": found.spare_scf if known else None,
        "covered": found.covered,
        "words": found.words,
    }


def _moment(case: Case, mark: str) -> datetime | None:
    found = case.mark(mark)
    return None if found is None else found.at


def _board_at(case: Case, at: datetime) -> Board:
    """Return the board of everything that had happened by a moment, as it was corrected later."""
    return fold(case.setup, [event for event in case.counted if event.at <= at])
