"""Emergency cards and the published steps after omitted decompression."""

from datetime import UTC, datetime, timedelta

import pytest

from station.dive.cards import ENDS, Begins, Cards, clocks_now, load_cards
from station.dive.omitted import omitted
from station.errors import FileError
from station.shipped import shipped

OPENED = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
PATH = shipped("configs") / "cards" / "emergency.toml"
SHIPPED = PATH.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def cards() -> Cards:
    return load_cards(SHIPPED.encode(), PATH.name)


def test_a_card_for_every_emergency(cards: Cards) -> None:
    assert {card.id for card in cards.cards} >= {
        "omitted-decompression",
        "blow-up",
        "lost-voice",
        "lost-air",
        "fouled-diver",
        "not-breathing",
        "bends-in-water",
    }
    assert cards.card("no-such-card") is None


def test_every_step_has_a_source_and_every_card_ends_the_same(cards: Cards) -> None:
    for card in cards.cards:
        assert all(step.source for step in card.steps)
        assert card.lines[-1] == ENDS
        assert len(card.lines) == len(card.steps) + 1
    assert "supervisor" in ENDS
    assert "medical officer" in ENDS


def test_a_card_fits_on_a_small_screen(cards: Cards) -> None:
    """80 x 24: title, when, clocks and steps of two lines each, end, field for the decision."""
    for card in cards.cards:
        assert 4 + len(card.clocks) + 2 * len(card.steps) <= 22
        assert all(len(line) <= 2 * 78 for line in card.lines)


def test_the_clock_of_the_surface_runs_from_its_mark(cards: Cards) -> None:
    card = cards.card("omitted-decompression")
    assert card is not None
    moments: dict[Begins, datetime | None] = {"reached surface": OPENED}
    (early,) = clocks_now(card, moments, OPENED + timedelta(seconds=60))
    assert (early.elapsed_s, early.passed, early.left_s) == (60, (), 0)
    (late,) = clocks_now(card, moments, OPENED + timedelta(seconds=60, milliseconds=1))
    assert late.next is not None
    assert (len(late.passed), late.next.at_s, late.left_s) == (1, 420, 359)
    (last,) = clocks_now(card, moments, OPENED + timedelta(seconds=500))
    assert (len(last.passed), last.next, last.left_s) == (2, None, None)


@pytest.mark.parametrize(
    "moments", [{}, {"reached surface": None}, {"reached surface": OPENED + timedelta(1)}]
)
def test_a_clock_that_has_not_begun_shows_nothing(
    cards: Cards, moments: dict[Begins, datetime | None]
) -> None:
    card = cards.card("omitted-decompression")
    assert card is not None
    (clock,) = clocks_now(card, moments, OPENED)
    assert (clock.elapsed_s, clock.next) == (None, None)


@pytest.mark.parametrize(
    ("old", "new", "key", "reason"),
    [
        ('id = "blow-up"', 'id = "lost-air"', "", "a card's id may stand only once (twice: lost-air)"),
        (
            '{ at_s = 60, words = "back',
            '{ at_s = 430, words = "back',
            "cards[1].clocks[1]",
            "order of their times",
        ),
        ('begins = "reached surface"', 'begins = "noon"', "cards[1].clocks[1].begins", "'card opened'"),
        ('source = "from memory: USN practice"', 'source = ""', "cards[2].steps[1].source", "at least 1"),
        ('title = "Blow-up"', 'titel = "Blow-up"', "cards[2].titel", "did you mean 'title'"),
    ],
)
def test_a_card_file_with_anything_wrong_is_refused(old: str, new: str, key: str, reason: str) -> None:
    assert old in SHIPPED
    with pytest.raises(FileError) as caught:
        load_cards(SHIPPED.replace(old, new, 1).encode(), "some.toml")
    assert any(reason in why for found, why in caught.value.problems if found == key)


def test_a_no_stop_dive_that_came_up_too_fast_is_watched_for_an_hour() -> None:
    """Second-hand: notes on Rev 6, Table 9-3."""
    for seconds in (0, 100_000):
        found = omitted(0, seconds * 1000, chamber=True, periods=0)
        assert (found.watch_min, found.holds_s) == (60, None)
        assert found.lines[0].startswith("Watch the diver at the surface for 60 min.")


@pytest.mark.parametrize(
    ("missed", "seconds", "chamber", "periods", "words"),
    [
        (20, 59, True, 1, "Return to the stop, add 1 min there"),  # from memory: USN Rev 6/7
        (30, 59, False, 1, "Return to the stop, add 1 min there"),  # same
        (30, 60, True, 1, "Surface decompression on oxygen."),  # second-hand: notes on Rev 6, Table 9-3
        (20, 420, True, 1, "Surface decompression on oxygen."),  # same, this and what follows
        (20, 421, True, 2, "treatment table 5"),
        (20, 421, True, 2.5, "treatment table 6"),
        (20, 60, False, 1, "30 and 20 fsw stop times x 1.5"),
        (20, 4000, False, 1, "30 and 20 fsw stop times x 1.5"),
        (40, 10, True, 1, "treatment table 6."),
        (30.5, 10, True, 1, "treatment table 6."),
        (0.5, 10, True, 1, "Return to the stop, add 1 min there"),
        (40, 4000, False, 1, "down to the first stop, by schedule to 30 fsw"),
    ],
)
def test_published_steps(missed: float, seconds: int, chamber: bool, periods: float, words: str) -> None:  # noqa: FBT001
    found = omitted(missed, seconds * 1000, chamber=chamber, periods=periods)
    assert words in found.lines[0]
    assert found.lines[-1] == ENDS


@pytest.mark.parametrize(("missed", "deep"), [(50, False), (50.5, True), (60, True)])
def test_deeper_than_50_fsw_goes_to_165(missed: float, deep: bool) -> None:  # noqa: FBT001
    """Second-hand: notes on Rev 6, Table 9-3."""
    lines = omitted(missed, 0, chamber=True, periods=3).lines
    assert any("165 fsw" in line for line in lines) is deep


@pytest.mark.parametrize(("seconds", "holds"), [(0, 60), (59, 1), (60, 360), (420, 0), (421, None)])
def test_the_advice_says_how_long_it_holds(seconds: int, holds: int | None) -> None:
    assert omitted(20, seconds * 1000, chamber=True, periods=1).holds_s == holds
