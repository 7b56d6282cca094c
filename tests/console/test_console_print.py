"""Printing at the desk: offered once a record is signed, written beside it, its place shown."""

from typing import TYPE_CHECKING

import pytest
from screen_text import reached
from textual.widgets import OptionList, Static

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from station.folder import Folder
    from tests.console.conftest import Make, Play, Station

SECRET = " cold water, warm tea"


def shown(station: "Station") -> str:
    return "\n".join(str(one.render()) for one in station.app.screen.query(Static))


def offered(station: "Station") -> list[str]:
    return [str(one.prompt) for one in station.app.screen.query_one(OptionList).options]


async def signed_by_one(keys: "Play", pilot: "Pilot[int]") -> None:
    await keys(pilot, "g", "1", SECRET, "enter", SECRET, "enter", "enter")


async def test_a_record_is_not_printed_before_anybody_signed_it(make: "Make", keys: "Play") -> None:
    station = make("closed")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "g")
        assert offered(station)
        assert not any("PDF" in line for line in offered(station))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
async def test_a_signed_record_is_printed_by_keyboard(
    paper: str, make: "Make", keys: "Play", folder: "Folder"
) -> None:
    station = make("closed")
    async with station.app.run_test(size=(120, 40)) as pilot:
        await signed_by_one(keys, pilot)
        await keys(pilot, "g")
        line = next(line for line in offered(station) if f"PDF, {paper} paper" in line)
        await keys(pilot, line.split()[0])
        await reached(pilot, lambda: "Printed:" in shown(station))
        (made,) = folder.records.glob("*.pdf")
        assert made.name in shown(station)
        assert made.with_suffix(".toml").is_file()
        assert made.read_bytes().startswith(b"%PDF-")
