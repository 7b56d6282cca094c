"""Painting: only changed lines are made anew, and what stands on the screen is always what was shown last."""

from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult
from textual.content import Content
from textual.geometry import Offset
from textual.selection import Selection

from station.board.figures import Figures
from station.console.panes.paint import LargeClock, Paint, same_look

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play

WIDTH, HEIGHT = 12, 4


class OnePaint(App[None]):
    """A screen with nothing but a text."""

    CSS = """
    Paint { width: 12; height: 4; padding: 0 1; text-wrap: nowrap; }
    .folding { text-wrap: wrap; }
    """

    def compose(self) -> ComposeResult:
        """Two texts, the second of them folds."""
        yield Paint(id="text")
        yield Paint(id="folding", classes="folding")


def rows(app: App[None], name: str) -> list[str]:
    """Return what the terminal shows of a text."""
    paint = app.screen.query_one(f"#{name}", Paint)
    region, lines = paint.region, app.screen._compositor.render_strips()
    shown = ["".join(part.text for part in line) for line in lines]
    return [shown[y][region.x + 1 : region.right - 1].rstrip() for y in range(region.y, region.bottom)]


LINES = st.lists(st.text("ab ", max_size=WIDTH + 3).map(str.rstrip), max_size=HEIGHT + 1)


@settings(max_examples=15, deadline=None, derandomize=True)
@given(shows=st.lists(LINES, min_size=1, max_size=6))
async def test_after_any_texts_the_last_one_stands(shows: list[list[str]]) -> None:
    app = OnePaint()
    async with app.run_test(size=(20, 10)) as pilot:
        for lines in shows:
            app.query_one("#text", Paint).show_lines(lines)
            await pilot.pause()
            cut = [line[: WIDTH - 2].rstrip() for line in lines[:HEIGHT]]
            assert rows(app, "text") == cut + [""] * (HEIGHT - len(cut))


async def test_only_a_changed_line_is_painted_anew() -> None:
    app = OnePaint()
    async with app.run_test(size=(20, 10)) as pilot:
        paint = app.query_one("#text", Paint)
        paint.show("one\ntwo\nthree")
        await pilot.pause()
        before = [paint.render_line(y) for y in range(3)]
        paint.show("one\n2\nthree")
        assert {region.y for region in paint._repaint_regions} == {1}
        await pilot.pause()
        assert [paint.render_line(y).text for y in range(3)] == ["one", "2", "three"]
        assert before[1].text == "two"


async def test_a_change_of_style_alone_is_painted() -> None:
    plain, loud = Content("held"), Content.styled("held", "reverse")
    assert plain == loud
    assert not same_look(plain, loud)
    app = OnePaint()
    async with app.run_test(size=(20, 10)) as pilot:
        paint = app.query_one("#text", Paint)
        for text, reverse in ((plain, False), (loud, True), (plain, False)):
            paint.show(text)
            await pilot.pause()
            (part,) = paint.render_line(0)
            assert part.style is not None
            assert bool(part.style.reverse) is reverse


async def test_a_text_that_folds_is_painted_whole() -> None:
    app = OnePaint()
    async with app.run_test(size=(20, 10)) as pilot:
        paint = app.query_one("#folding", Paint)
        for text, shown in (
            ("one two three", ["one two", "three", "", ""]),
            ("one\ntwo", ["one", "two", "", ""]),
            ("one two three\nfour", ["one two", "three", "four", ""]),
        ):
            paint.show(text)
            await pilot.pause()
            assert rows(app, "folding") == shown


async def test_text_is_marked_with_the_mouse_where_it_stands() -> None:
    app = OnePaint()
    async with app.run_test(size=(20, 10)) as pilot:
        paint = app.query_one("#text", Paint)
        paint.show("one\ntwo\nthree")
        await pilot.pause()
        assert [paint.render_line(y)._segments[0].style.meta["offset"] for y in range(3)] == [  # type: ignore[union-attr]
            (0, 0),
            (0, 1),
            (0, 2),
        ]
        app.screen.selections = {paint: Selection(Offset(1, 1), Offset(3, 2))}
        await pilot.pause()
        assert app.screen.get_selected_text() == "wo\nthr"


@pytest.mark.parametrize("value", ["07:31", "1:02:59", "--:--"])
async def test_a_large_clock_says_its_time_in_letters_too(value: str) -> None:
    class OneClock(App[None]):
        CSS = "LargeClock { width: 30; height: 5; }"

        def compose(self) -> ComposeResult:
            yield LargeClock()

    app = OneClock()
    async with app.run_test(size=(40, 10)) as pilot:
        clock = app.query_one(LargeClock)
        clock.show_time(value, [Content("LANE 1")], [Content("BOTTOM TIME")])
        await pilot.pause()
        lines = [clock.render_line(y).text for y in range(5)]
        assert (lines[0], lines[4]) == ("LANE 1", "BOTTOM TIME")
        assert {len(line) for line in lines[1:4]} == {3 * len(value)}
        assert clock.shown.split("\n") == ["LANE 1", value, "BOTTOM TIME"]


async def test_the_screen_is_painted_when_a_second_begins_or_anything_is_new(
    make: "Make", keys: "Play", monkeypatch: pytest.MonkeyPatch
) -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        painted: list[Figures] = []
        monkeypatch.setattr(station.app, "paint", painted.append)
        station.app.beat()
        painted.clear()
        for ms in (0, 999 - station.clock.now().microsecond // 1000):
            station.clock.advance(ms / 1000)
            station.app.beat()
        assert not painted
        station.clock.advance(0.001)
        station.app.beat()
        assert len(painted) == 1
        station.app.desk.said = "something new"
        station.app.beat()
        assert len(painted) == 2
