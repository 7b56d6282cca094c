"""Each frame by itself, as a slow line would show it: nothing on it is older than what it stands beside."""

from typing import TYPE_CHECKING

import pytest
from screen_text import screen_lines, settled

from station.console.turning import VIEWS

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play


@pytest.fixture
def film(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return every frame that the screen below all dialogs paints, from the first one on."""
    from textual.screen import Screen  # noqa: PLC0415 - only what is patched here

    frames: list[str] = []
    paint = Screen._compositor_refresh

    def painted(screen: Screen[object]) -> None:
        paint(screen)
        if screen is screen.app.screen:
            frames.append("\n".join(screen_lines(screen.app)))

    monkeypatch.setattr(Screen, "_compositor_refresh", painted)
    return frames


def lane_rows(frame: str) -> list[str]:
    """Return the rows of the supervisor's seat that tell of a lane."""
    return [row for row in frame.splitlines() if "BOTTOM TIME" in row]


async def test_a_seat_comes_back_without_its_old_figures(make: "Make", keys: "Play", film: list[str]) -> None:
    station = make("bottom")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot, "f4")
        (old,) = {row for row in lane_rows(film[-1]) if row}
        await keys(pilot, "f2")
        station.clock.advance(65)
        film.clear()
        await keys(pilot, "f4")
        await pilot.pause()
        shown = {row for frame in film for row in lane_rows(frame)}
        assert shown
        assert old not in shown


async def test_a_mark_is_told_before_the_screen_turns_to_another_seat(
    make: "Make", keys: "Play", film: list[str]
) -> None:
    station = make("left surface")
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        film.clear()
        await keys(pilot, "f9")
        await pilot.pause()
        told = next(at for at, frame in enumerate(film) if "TAKEN" in frame)
        turned = next(at for at, frame in enumerate(film) if "SCHEDULE" in frame)
        assert told < turned


@pytest.mark.parametrize("point", ["nuts", "bottom"])
@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids="{0[0]}x{0[1]}".format)
async def test_every_seat_and_page_is_whole_when_it_comes_back(
    make: "Make", keys: "Play", point: str, size: tuple[int, int]
) -> None:
    station = make(point)
    async with station.app.run_test(size=size) as pilot:
        await keys(pilot)
        seen: list[dict[str, list[str]]] = [{}, {}]
        for visit in seen:
            for view in VIEWS:
                station.app.show_view(view)
                await settled(pilot)
                visit[view] = screen_lines(station.app)
        assert seen[0] == seen[1]
        assert len({tuple(lines) for lines in seen[0].values()}) == len(VIEWS)
