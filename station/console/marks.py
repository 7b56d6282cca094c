"""Taking a mark at the desk: of the dive, of a place on the way up, of the chamber."""

from datetime import datetime

from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.console.seats.names import SeatName
from station.console.typed import depth as depth_check
from station.dive.chamber_marks import Option, chamber_mark_text
from station.dive.text import mark_text
from station.events import ChamberMarkTaken, MarkName, MarkTaken
from station.journal.interface import Entry
from station.units import parse_depth, show_depth, to_fsw

SHOWS: dict[MarkName, SeatName] = {"left_surface": "timekeeper", "reached_surface": "tender"}
"""The seat that a mark brings to the front where a screen is no seat of its own: what is worked with then."""


def take_mark(desk: Desk, at: datetime, name: MarkName, depth: float | None) -> None:
    """Enter a mark of the dive; the depth is in the unit of the tables."""
    unit = desk.board.setup.tables.unit
    event = MarkTaken(
        lane=desk.lane,
        mark=name,
        depth_fsw=None if depth is None else float(to_fsw(depth, unit)),
        **desk.stamp("timekeeper", at),
    )
    desk.enter(event, mark_text(name, depth, unit))
    _go_along(desk, event)


def watch_script(desk: Desk, entry: Entry | None) -> None:
    """Let a script's mark take the screen along as a key's does, but nobody from another seat or page."""
    if entry and isinstance(entry.event, MarkTaken) and any(map(desk.app.shows, SHOWS.values())):
        _go_along(desk, entry.event)


def _go_along(desk: Desk, event: MarkTaken) -> None:
    gas = desk.board.lanes[event.lane].gas
    chamber = gas is not None and gas.gas == "surface_oxygen"
    if event.mark in SHOWS and not (chamber and event.mark == "reached_surface"):
        desk.app.follow(SHOWS[event.mark])


async def take_place(desk: Desk, at: datetime, name: MarkName) -> None:
    """Ask where the diver is held, or moves again, and enter it."""
    unit = desk.board.setup.station.units.depth
    words = "Held on the way up" if name == "held" else "Moving again"
    field = Field(
        "depth", f"At which depth, {unit}", check=depth_check(unit, MarkTaken, "depth_fsw"), length=12
    )
    answers = await desk.ask(f"place {name}", f"{words}, at {at:%H:%M:%S}", [field])
    if answers:
        depth = parse_depth(answers["depth"], unit)
        event = MarkTaken(lane=desk.lane, mark=name, depth_fsw=depth, **desk.stamp("timekeeper", at))
        desk.enter(event, f"{name} at {show_depth(depth, unit)}")


def take_chamber(desk: Desk, at: datetime, mark: Option) -> None:
    """Enter a mark of the chamber."""
    name, depth = mark
    event = ChamberMarkTaken(lane=desk.lane, mark=name, depth_fsw=depth, **desk.stamp("timekeeper", at))
    desk.enter(event, chamber_mark_text(name, depth))
