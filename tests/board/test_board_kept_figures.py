"""What is kept between entries says what it would say afresh, whichever entry came between."""

from datetime import timedelta

from station.board import after, air, air_figures, air_ladder, earlier
from station.board import figures as figures_room
from station.board.figures import Figures, figures
from station.board.fold import fold, follow
from station.board.state import Board
from station.events import AlarmRaised, Event, stamp
from station.setup import Setup

KEPT = (
    after._ladder_in,
    air._air_at,
    air_figures._figures,
    air_ladder._air,
    earlier.dive_at,
    figures_room._order,
)
EVERY = 5


def afresh(board: Board, event: Event) -> Figures:
    for one in KEPT:
        one.cache_clear()
    return figures(board, event.entered)


def alarm(event: Event) -> AlarmRaised:
    words = {"key": "made up", "priority": "low", "words": "made up"}
    return AlarmRaised.model_validate({**words, **stamp(event.entered, "console", "console")})


def test_after_any_entry_what_is_kept_is_what_is_true(setup: Setup, log: tuple[Event, ...]) -> None:
    board, compared = fold(setup, log[:1]), 0
    for number, event in enumerate(log[1:]):
        board = follow(board, event)
        kept = figures(board, event.entered)
        if number % EVERY == 0:
            again = figures(follow(board, alarm(event)), event.entered)
            assert (kept, again.lanes, again.air) == (
                found := afresh(board, event),
                found.lanes,
                found.air,
            )
            compared += 1
    assert compared > 20


def test_an_alarm_has_no_dive_and_no_air_worked_out_anew(setup: Setup, log: tuple[Event, ...]) -> None:
    under_way = next(at for at, event in enumerate(log) if getattr(event, "mark", "") == "reached_bottom") + 1
    board, event = fold(setup, log[:under_way]), log[under_way - 1]
    at = event.entered + timedelta(seconds=1)
    figures(board, at)
    before = [one.cache_info().misses for one in KEPT]
    figures(follow(board, alarm(event)), at)
    assert [one.cache_info().misses for one in KEPT] == before
