"""An outfit without a ring of studs: there is no nut to mark, and the console says so."""

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from station.console.desk import Desk

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("number_sign", "NOT TAKEN: this outfit has no ring of studs: there is no nut to mark"),
        ("r", "NOT TAKEN: no nut can be marked now"),
    ],
)
async def test_a_nut_of_an_outfit_without_studs_is_refused(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch, key: str, said: str
) -> None:
    figures = Desk.lane_now
    monkeypatch.setattr(Desk, "lane_now", lambda desk: replace(figures(desk), ring=()))
    station = make("nuts")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, key)
        assert station.app.desk.said == said
        await keys(pilot, "escape")
        assert len(station.app.screen_stack) == 1
