"""Entries of the air supply in words: readings, sources, tests and samples."""

from collections.abc import Callable
from typing import Any

from station.board.state import Board
from station.events import (
    BankFilled,
    ChangedOver,
    SampleTaken,
    SourceLost,
    SourceRestored,
    SupplyRead,
    TestDone,
)
from station.supply.limits import AirSample, air_faults
from station.units import show_pressure


def source_name(board: Board, source: str) -> str:
    """Return the name of a source or of the manifold, or its id where the supply file has none such."""
    supply = board.setup.supply
    names = {supply.manifold.id: supply.manifold.name} | {one.id: one.name for one in supply.sources}
    return names.get(source, source)


def test_name(board: Board, test: str) -> str:
    """Return the name of a test, or its id where the supply file has none such."""
    return next((one.name for one in board.setup.supply.tests if one.id == test), test)


def faults(event: SampleTaken) -> tuple[str, ...]:
    """Return what is wrong with the air of a sample, in words."""
    sample = AirSample(event.oxygen_percent, event.co2_ppm, event.co_ppm, event.oil_mg_m3, odour=event.odour)
    return air_faults(sample)


def _reading(board: Board, event: SupplyRead) -> str:
    pressure = show_pressure(event.pressure_psig, board.setup.station.units.pressure)
    return f"{source_name(board, event.source)} {pressure}"


def _lost(board: Board, event: SourceLost) -> str:
    reason = f" ({event.reason})" if event.reason else ""
    return f"SOURCE LOST: {source_name(board, event.source)}{reason}"


def _test(board: Board, event: TestDone) -> str:
    result = f": {event.result}" if event.result else ""
    verdict = "passed" if event.passed else "FAILED"
    return f"{verdict} {test_name(board, event.test)} of {event.on.isoformat()}{result}"


def _sample(board: Board, event: SampleTaken) -> str:
    wrong = faults(event)
    verdict = f"FAILED ({'; '.join(wrong)})" if wrong else "within limits"
    odour = "an odour" if event.odour else "no odour"
    return (
        f"{test_name(board, event.test)} of {event.on.isoformat()} {verdict}: oxygen "
        f"{event.oxygen_percent:g} %, carbon dioxide {event.co2_ppm:g} ppm, carbon monoxide "
        f"{event.co_ppm:g} ppm, oil {event.oil_mg_m3:g} mg/m3, {odour}"
    )


AIR_WORDS: dict[type, Callable[[Board, Any], str]] = {
    SupplyRead: _reading,
    ChangedOver: lambda board, event: f"CHANGED OVER to {source_name(board, event.source)}",
    SourceLost: _lost,
    SourceRestored: lambda board, event: f"{source_name(board, event.source)} restored ({event.reason})",
    BankFilled: lambda board, event: f"{source_name(board, event.source)} filled",
    TestDone: _test,
    SampleTaken: _sample,
}
