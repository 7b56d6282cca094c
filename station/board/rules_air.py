"""What may be entered of the air supply: readings, sources, tests and samples."""

from collections.abc import Callable
from typing import Any

from station.board.case import Case, need_role
from station.board.entry_words_air import source_name, test_name
from station.board.sources import Sources, sources_at
from station.errors import Refusal
from station.events import (
    BankFilled,
    ChangedOver,
    SampleTaken,
    SourceLost,
    SourceRestored,
    SupplyRead,
    TestDone,
)
from station.supply.readings import impossible


def _reading(case: Case, event: SupplyRead) -> None:
    why = impossible(case.board.setup.supply, event.source, event.pressure_psig)
    if why:
        raise Refusal(why)


def _sources(case: Case, event: ChangedOver | SourceLost | SourceRestored) -> Sources:
    """Return the sources as they stood at the event's time; Refusal for one that is not in the file."""
    supply = case.board.setup.supply
    known = [one.id for one in supply.sources]
    if event.source not in known:
        raise Refusal(f"there is no source '{event.source}' in the supply file ({', '.join(known)})")
    return sources_at(supply, case.board.sources, event.at)


def _changed_over(case: Case, event: ChangedOver) -> None:
    found, name = _sources(case, event), source_name(case.board, event.source)
    if event.source in found.lost:
        raise Refusal(f"{name} is lost; enter that it is restored before it is brought on line")
    if found.on_line == event.source:
        raise Refusal(f"{name} is on line already")


def _lost(case: Case, event: SourceLost) -> None:
    if event.source in _sources(case, event).lost:
        raise Refusal(f"{source_name(case.board, event.source)} is lost already")


def _restored(case: Case, event: SourceRestored) -> None:
    need_role(case.board, event, "supervisor", "counting on a lost source again")
    if event.source not in _sources(case, event).lost:
        raise Refusal(f"{source_name(case.board, event.source)} is not lost")


def _filled(case: Case, event: BankFilled) -> None:
    banks = [one.id for one in case.board.setup.supply.banks]
    if event.source not in banks:
        raise Refusal(f"there is no bank '{event.source}' in the supply file ({', '.join(banks)})")


def _dated(case: Case, event: TestDone | SampleTaken) -> None:
    tests = case.board.setup.supply.tests
    test = next((one for one in tests if one.id == event.test), None)
    if test is None:
        known = ", ".join(one.id for one in tests) or "none"
        raise Refusal(f"there is no test '{event.test}' in the supply file ({known})")
    name, sample = test_name(case.board, event.test), test.kind == "air sample"
    if sample != isinstance(event, SampleTaken):
        how = "a sample, with what was found in it" if sample else "a test, passed or not"
        raise Refusal(f"{name} is entered as {how}")
    if event.on > event.at.date():
        raise Refusal(f"{event.on.isoformat()} is still to come: {name} has its date once it was made")


AIR_RULES: dict[type, Callable[[Case, Any], None]] = {
    SupplyRead: _reading,
    ChangedOver: _changed_over,
    SourceLost: _lost,
    SourceRestored: _restored,
    BankFilled: _filled,
    TestDone: _dated,
    SampleTaken: _dated,
}
