"""The ring of studs: no stud hides another, and an outfit without one has no nut to mark."""

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from station.console.desk import Desk
from station.console.panes.ring import HEIGHT, MOST, WIDTH, cell, picture, rows
from station.outfit import StudView

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


def studs(count: int) -> list[StudView]:
    """Return studs that are told as wide as any can be."""
    one = StudView(1, "front", "right", joint=True, flanged=True, long=False, state="wrenched", next="tried")
    return [replace(one, number=number) for number in range(1, count + 1)]


@pytest.mark.parametrize("count", range(1, MOST + 1))
def test_every_stud_stands_whole_on_the_picture(count: int) -> None:
    lines = picture(studs(count))
    assert len(lines) == HEIGHT
    assert max(map(len, lines)) <= WIDTH
    assert all(any(cell(stud) in line for line in lines) for stud in studs(count))
    assert any("J joint, L long" in line for line in lines)


def test_more_studs_than_the_picture_has_room_for_stand_in_rows() -> None:
    many = studs(MOST + 4)
    assert picture(many) == []
    words = "\n".join(rows(many, WIDTH))
    assert all(cell(stud) in words for stud in many)
