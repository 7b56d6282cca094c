"""Playing a scenario: each line becomes an event at its moment, through the watch like any other entry.

The player has no rules of its own. Where a line says `play`, it enters what the outfit's rules show as
open, one after another, until that section holds nothing more to do. Where no screen does so, it notes the
alarms: at the moment of each line, before it is entered and once more after it; not between the rows of a
section.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Protocol

from pydantic import ValidationError

from station.board.alarms_now import alarms_now
from station.board.facts import facts_of
from station.clock import Clock
from station.drill.scenario import Line, Scenario, at_time_of_day, delay, event_fields
from station.errors import FileError, Refusal
from station.events import EVENT, Event
from station.journal.interface import Entry
from station.outfit.views import Row, next_row, ring
from station.watch import Watch


class MovableClock(Clock, Protocol):
    """A clock that can be sent forward."""

    def jump_to(self, moment: datetime) -> None:
        """Go on to a moment; an earlier one is ignored."""


@dataclass(frozen=True)
class Due:
    """The next thing to enter: when, from which line, and the event's own fields."""

    moment: datetime
    line: Line
    number: int
    fields: dict[str, Any]


@dataclass(frozen=True)
class Played:
    """What came of one entry: the journal's entry, or the refusal that the scenario asked for.

    `before` and `after` are the alarms that were noted with it.
    """

    due: Due
    entry: Entry | None
    refusal: Refusal | None = None
    before: tuple[Entry, ...] = ()
    after: tuple[Entry, ...] = ()


class Player:
    """Plays one scenario on one watch."""

    def __init__(self, watch: Watch, scenario: Scenario, *, notes_alarms: bool = False) -> None:
        self._watch = watch
        self._scenario = scenario
        self._notes_alarms = notes_alarms
        self._last, self._number = scenario.file.start, 0
        self._script = self._dues()
        self.due: Due | None = next(self._script, None)

    @property
    def finished(self) -> bool:
        """Whether every line has been played."""
        return self.due is None

    def play_next(self, clock: MovableClock) -> Played:
        """Send the clock to the next entry's moment and enter it.

        Raises:
            FileError: the line cannot be entered as the scenario has it, or was not refused as it must be.

        """
        due = self.due
        if due is None:
            raise FileError(str(self._scenario.path), [("", "there is nothing left to play")])
        clock.jump_to(due.moment)
        before = self._noticed(due) if due.number != self._number else ()
        played = self._enter(due)
        self._last, self._number = due.moment, due.number
        self.due = next(self._script, None)
        last = self.due is None or self.due.number != due.number
        return replace(played, before=before, after=self._noticed(due) if last else ())

    def _noticed(self, due: Due) -> tuple[Entry, ...]:
        if not self._notes_alarms:
            return ()
        stand = alarms_now(self._watch.board, due.moment)
        return tuple(self._watch.notice_alarms(stand, due.moment))

    def _enter(self, due: Due) -> Played:
        key = f"line[{due.number}]"
        try:
            entry = self._watch.enter(self._event(due, key))
        except Refusal as refusal:
            wanted = due.line.refused
            words = "; ".join((refusal.message, *refusal.missing))
            if wanted is None:
                raise self._fault(key, f"refused: {words}") from None
            if wanted not in words:
                raise self._fault(f"{key}.refused", f"refused, but not with '{wanted}': {words}") from None
            return Played(due, None, refusal)
        if due.line.refused is not None:
            raise self._fault(f"{key}.refused", f"was taken, but must be refused with '{due.line.refused}'")
        return Played(due, entry)

    def _event(self, due: Due, key: str) -> Event:
        stamp = self._watch.stamp(due.line.by, due.line.seat, at=due.moment)
        try:
            return EVENT.validate_python({**stamp, **due.fields}, strict=False)
        except ValidationError as error:
            first = error.errors()[0]
            where = (
                ".".join(("fields", *(str(part) for part in first["loc"][1:]))) if first["loc"] else "kind"
            )
            raise self._fault(f"{key}.{where}", first["msg"].lower()) from None

    def _fault(self, key: str, why: str) -> FileError:
        return FileError(str(self._scenario.path), [(key, why)])

    def _dues(self) -> Iterator[Due]:
        for number, line in enumerate(self._scenario.file.line, start=1):
            first = (
                at_time_of_day(self._last, line.at) if line.at else self._last + delay(line.after or "0:00")
            )
            if line.kind is not None:
                yield Due(first, line, number, {"kind": line.kind, **event_fields(line)})
                continue
            yield from self._section(first, line, number)

    def _section(self, first: datetime, line: Line, number: int) -> Iterator[Due]:
        """Yield what is open in the line's section, one entry each `every`, until nothing is left."""
        moment, step = first, delay(line.every)
        while True:
            fields = self._open_fields(line, number, moment)
            if fields is None or self._reached(line, fields):
                return
            yield Due(moment, line, number, fields)
            moment += step

    def _reached(self, line: Line, fields: dict[str, Any]) -> bool:
        return line.until is not None and line.until in fields.values()

    def _open_fields(self, line: Line, number: int, moment: datetime) -> dict[str, Any] | None:
        lane = self._watch.board.lanes.get(line.lane or 0)
        if lane is None:
            raise self._fault(f"line[{number}].lane", f"no dive is planned in lane {line.lane}")
        facts = facts_of(self._watch.board, lane, moment)
        outfit = self._watch.board.setup.outfit
        row = next_row(outfit, lane.progress, facts, line.play or "")
        if row is None:
            return None
        if row.kind == "nuts":
            stud = next(stud for stud in ring(outfit, lane.progress, facts) if stud.next)
            return {"kind": "nut.marked", "lane": lane.number, "stud": stud.number, "state": stud.next}
        return self._row_fields(row, line, lane.number)

    def _row_fields(self, row: Row, line: Line, lane: int) -> dict[str, Any]:
        if row.kind == "item":
            return {"kind": "item.inspected", "lane": lane, "item": row.id, "passed": True}
        if row.kind == "step":
            second = {"checked_by": line.second} if row.second_person else {}
            return {"kind": "step.done", "lane": lane, "step": row.id, **second}
        drawn = self._scenario.file.drawn(row.id, lane)
        if drawn is None:
            raise self._fault("piece", f"no piece '{row.id}' is listed for lane {lane}")
        return {
            "kind": "piece.drawn",
            "lane": lane,
            "piece": row.id,
            "number": drawn.number,
            "stamped": drawn.stamped,
            "tested": drawn.tested,
        }
