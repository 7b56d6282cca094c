"""What a screen shows of the air beside the gauges: sums, turn times, ranges, tests, in words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

from station.board.air import AirNow, LaneTurn, air_now
from station.board.entry_words_air import faults, source_name, test_name
from station.board.identity import Is
from station.board.state import Board
from station.events import BankFilled, SampleTaken, TestDone
from station.moments import clock_time
from station.supply.cover import Coverage
from station.supply.dated import Age, dated_ages
from station.supply.facts import Sums
from station.supply.model import Bank
from station.supply.outlook import BankOutlook, Outlook
from station.supply.readings import Reading, doubtful, risen
from station.supply.trend import Span, contradicts


@dataclass(frozen=True)
class Failed:
    """A test or a sample that was not passed, and that none has followed."""

    id: str
    words: str


@dataclass(frozen=True)
class AirFigures:
    """The air as of the end of the running minute.

    `on_line` is the source that feeds the manifold, `unanswered` a lost source in whose place none has been
    entered yet. `history` holds the readings to plot, `lines` everything in words, the turn times first.
    """

    as_of: datetime
    on_line: str | None
    lost: frozenset[str]
    unanswered: str | None
    look: Outlook
    sums: Sums
    turns: Mapping[int, LaneTurn]
    ages: tuple[Age, ...]
    failed: tuple[Failed, ...]
    history: Mapping[str, tuple[Reading, ...]]
    lines: tuple[str, ...]


def air_of(board: Board, now: datetime) -> AirFigures:
    """Return the figures of the air, worked out once for each board and minute."""
    found = air_now(board, now)
    return _figures(Is(found))


def question(board: Board, source: str, psig: float, now: datetime) -> str | None:
    """Return why a reading should be read again before it is entered; None when nothing speaks against it.

    It may be entered all the same: the question is asked, and no entry is refused for it.
    """
    supply = board.setup.supply
    found = air_now(board, now)
    bank = next((one for one in supply.banks if one.id == source), None)
    if bank is None:
        return doubtful(supply, source, psig)
    since = found.changed.get(source)
    readings = [one for one in found.history.get(source, ()) if since is None or one.at >= since]
    odd = contradicts(bank, readings, Reading(psig, now), supply.air_temperature)
    return doubtful(supply, source, psig) or odd or _risen(board, bank, psig, now)


def _risen(board: Board, bank: Bank, psig: float, now: datetime) -> str | None:
    """Return the doubt of a rise over the last reading, wherever the bank was in use since; None without."""
    filled = [one.at for one in board.sources if isinstance(one, BankFilled) and one.source == bank.id]
    before = [
        one
        for one in board.supply
        if one.source == bank.id and one.at <= now and all(one.at >= at for at in filled if at <= now)
    ]
    return risen(bank, Reading(before[-1].pressure_psig, before[-1].at), psig) if before else None


def coverage_words(found: Coverage | None) -> str:
    """Return a sum in one line: what it needs, what there is, what is over or missing."""
    if found is None:
        return "nobody depends on it"
    if not found.known:
        return f"NOT KNOWN: {found.words}"
    sums = f"needs {found.need_scf} scf of {found.usable_scf}"
    if found.covered:
        return f"covered: {sums}, {found.spare_scf} over, the reserve kept"
    how = "ONLY BY THE RESERVE" if found.by_reserve_only else "NOT COVERED"
    return f"{how}: {sums}, short by {-found.spare_scf}"


@lru_cache(maxsize=8)
def _figures(air: Is[AirNow]) -> AirFigures:
    found = air.value
    board = found.board
    entered, failed = _tests(board)
    ages = dated_ages(board.setup.supply, entered, found.as_of.date())
    wrong = {one.id for one in failed}
    return AirFigures(
        as_of=found.as_of,
        on_line=found.sources.feeding,
        lost=found.sources.lost,
        unanswered=found.sources.unanswered,
        look=found.look,
        sums=found.sums,
        turns=found.turns,
        ages=tuple(one for one in ages if one.id not in wrong),
        failed=failed,
        history=found.history,
        lines=tuple(_lines(found)),
    )


def _tests(board: Board) -> tuple[dict[str, date], tuple[Failed, ...]]:
    """Return the date of each test last passed, and those that were failed last."""
    last: dict[str, TestDone | SampleTaken] = {}
    for event in board.tests:
        if event.test not in last or event.on >= last[event.test].on:
            last[event.test] = event
    wrong = {test: _wrong(board, event) for test, event in last.items()}
    entered = {test: event.on for test, event in last.items() if wrong[test] is None}
    return entered, tuple(Failed(test, words) for test, words in wrong.items() if words is not None)


def _wrong(board: Board, event: TestDone | SampleTaken) -> str | None:
    if isinstance(event, SampleTaken):
        why = "; ".join(faults(event))
        if not why:
            return None
    elif event.passed:
        return None
    else:
        why = event.result or "not passed"
    return f"{test_name(board, event.test)} of {event.on.isoformat()} FAILED: {why}"


def _lines(found: AirNow) -> Iterator[str]:
    board, look = found.board, found.look
    for number, one in found.turns.items():
        at = "NOW" if one.leave_by is None else clock_time(one.leave_by)
        yield f"TURN lane {number} {at}: {one.turn.words}"
    if found.in_water:
        yield f"leave now: {coverage_words(found.sums.leave_now)}"
    if found.sums.planned is not None:
        yield f"as planned: {coverage_words(found.sums.planned)}"
    if found.sums.without_primary is not None:
        yield f"without the primary: {coverage_words(found.sums.without_primary)}"
    if look.planned_scfm:
        yield f"to the reserve: {_reserve_words(look)}"
    for bank in look.banks:
        lost = bank.id in found.sources.lost
        yield f"{source_name(board, bank.id)}{' LOST' if lost else ' ON LINE' if bank.on_line else ''}: " + (
            "not counted" if lost else _bank_words(bank)
        )


def _reserve_words(look: Outlook) -> str:
    plan = "not known" if look.reserve_by_plan_min is None else f"{look.reserve_by_plan_min} min"
    trend = "no trend yet" if look.reserve_by_trend is None else look.reserve_by_trend.words
    return f"{plan} by plan; {trend} by the readings; {look.words}"


def _bank_words(bank: BankOutlook) -> str:
    if bank.trend is None or bank.to_minimum is None:
        return bank.words
    return f"change-over in {_span(bank.to_change_over)}, minimum in {_span(bank.to_minimum)}; {bank.words}"


def _span(span: Span | None) -> str:
    return "no time to be seen" if span is None else span.words
