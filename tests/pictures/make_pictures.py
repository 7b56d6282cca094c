"""Draw the pictures in the README: the shipped drill, played to a moment, at each seat.

    python tests/pictures/make_pictures.py

It writes each picture between its comment and the end of the fence below it. A test holds the README against
what this script draws now.
"""

import asyncio
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from screen_text import screen_lines, settled

from station.clock import HandClock
from station.console.app import ConsoleApp
from station.console.seats.names import SeatName
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.folder import Folder
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.setup import load_setup
from station.shipped import shipped
from station.watch import Watch

README = Path(__file__).parents[2] / "README.md"
SCENARIO = shipped("demo") / "ossary-dam" / "gate-survey.toml"


@dataclass(frozen=True)
class Picture:
    """A seat at a moment: before the entry that is told, so many seconds after the one before it."""

    seat: SeatName
    size: tuple[int, int]
    before: Callable[[Mapping[str, Any]], bool]
    after_s: int = 5


PICTURES = (
    Picture("tender", (80, 24), lambda fields: (fields.get("stud"), fields.get("state")) == (9, "wrenched")),
    Picture("timekeeper", (80, 24), lambda fields: fields.get("mark") == "left_stop"),
    Picture("supervisor", (120, 40), lambda fields: fields.get("mark") == "left_bottom"),
)


def drawn(picture: Picture) -> list[str]:
    """Return the lines of a picture."""
    with TemporaryDirectory() as folder:
        app = ConsoleApp(_played(picture), Folder(Path(folder)).prepare(), seat=picture.seat, notice=False)
        return asyncio.run(_lines(app, picture.size))


async def _lines(app: ConsoleApp, size: tuple[int, int]) -> list[str]:
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        return screen_lines(app)


def _played(picture: Picture) -> Watch:
    scenario = load_scenario(SCENARIO)
    setup, clock = load_setup(scenario.station_path), HandClock(scenario.file.start)
    watch = begin_on(MemoryJournal(), setup, clock, title=scenario.file.title, program="picture", drill=True)
    player = Player(watch, scenario)
    while player.due is not None and not picture.before(player.due.fields):
        player.play_next(clock)
    clock.advance(picture.after_s)
    return watch


def with_picture(text: str, seat: SeatName, lines: list[str]) -> str:
    """Return a text with the picture of a seat in its place; ValueError when it has no place there."""
    place = re.compile(rf"(<!-- picture: {seat} -->\n```text\n).*?(\n```\n)", re.DOTALL)
    if not place.search(text):
        raise ValueError(f"README.md has no place for the picture of the {seat}")
    return place.sub(lambda found: f"{found[1]}{chr(10).join(lines)}{found[2]}", text, count=1)


def main() -> None:
    """Write every picture."""
    text = README.read_text(encoding="utf-8")
    for picture in PICTURES:
        text = with_picture(text, picture.seat, drawn(picture))
    README.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
