"""What a fault in the program itself looks like: said once, loudly, and the console goes on."""

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

import pytest
from screen_text import reached
from textual.widgets import Static

from station.console.actions import BY_ID
from station.console.desk import Desk
from station.console.dialogs.card import CardScreen, CardWords
from station.console.dialogs.panel import Panel

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play


async def test_an_unforeseen_fault_is_said_and_the_console_goes_on(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch
) -> None:
    async def broken(_desk: Desk, _at: datetime) -> None:
        raise RuntimeError("no such wheel")

    monkeypatch.setitem(BY_ID, "note", replace(BY_ID["note"], flow=broken))
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "w")
        panel = station.app.screen
        assert isinstance(panel, Panel)
        assert panel.has_class("-loud")
        lines = [str(line.render()) for line in panel.query(".dialog-sentence, .dialog-line").results()]
        assert lines == ["unforeseen fault: RuntimeError: no such wheel"]
        await keys(pilot, "escape", "v", "1")
        assert station.kinds(1) == ["voice.checked"]


async def test_a_fault_in_the_clocks_of_a_card_is_said_on_the_card(make: "Make", keys: "Play") -> None:
    def words() -> CardWords:
        if broken:
            raise RuntimeError("no such wheel")
        return CardWords("CARD", "when", ["0:05 gone"], [])

    broken, station = False, make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        card = CardScreen(words)
        await station.app.push_screen(card)
        clocks = card.query_one(".dialog-clocks", Static)
        await reached(pilot, lambda: "0:05 gone" in str(clocks.render()))
        broken = True
        await reached(pilot, lambda: "unforeseen fault: RuntimeError" in str(clocks.render()))
        broken = False
        await reached(pilot, lambda: "0:05 gone" in str(clocks.render()))
        await keys(pilot, "escape", "f9")
    assert station.kinds(1) == ["mark.taken"]
