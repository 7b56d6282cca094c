"""Emergency cards: published first steps with their source, and clocks that start by themselves.

A card advises and times; it never orders treatment. Every card ends with the same words.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from station.dive.times import seconds_down
from station.files import FileModel, load
from station.moments import ms_between

ENDS = "The supervisor decides what is done; call the medical officer."
"""How every card ends."""

Begins = Literal["card opened", "reached surface", "left for the chamber", "last voice check"]
CardWords = Annotated[str, StringConstraints(min_length=1, max_length=200, strip_whitespace=True)]
CardId = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]


class CardStep(FileModel):
    """One published step, and where it comes from."""

    words: CardWords
    source: CardWords


class CardLimit(FileModel):
    """A moment that a clock passes, and what it means."""

    at_s: Annotated[int, Field(ge=1, le=86_400)]
    words: CardWords


class CardClock(FileModel):
    """A clock that runs while the card is open, from a moment that the station knows."""

    begins: Begins
    words: CardWords
    limits: tuple[CardLimit, ...] = ()

    @model_validator(mode="after")
    def _limits_in_order(self) -> Self:
        if any(before.at_s >= here.at_s for before, here in pairwise(self.limits)):
            raise ValueError("the limits of a clock must come in the order of their times")
        return self


class Card(FileModel):
    """One emergency: when the card is for it, its clocks and its steps."""

    id: CardId
    title: CardWords
    when: CardWords
    clocks: Annotated[tuple[CardClock, ...], Field(min_length=1)]
    steps: Annotated[tuple[CardStep, ...], Field(min_length=1)]

    @property
    def lines(self) -> tuple[str, ...]:
        """The steps in words, each with its source, and the end of every card."""
        return *(f"{step.words} ({step.source})" for step in self.steps), ENDS


class Cards(FileModel):
    """A file of cards."""

    format: Literal["cards/1"]
    title: CardWords
    cards: Annotated[tuple[Card, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _ids_once(self) -> Self:
        ids = [card.id for card in self.cards]
        twice = sorted({one for one in ids if ids.count(one) > 1})
        if twice:
            raise ValueError(f"a card's id may stand only once (twice: {', '.join(twice)})")
        return self

    def card(self, card_id: str) -> Card | None:
        """Return the card of an id; None when the file has none."""
        return next((card for card in self.cards if card.id == card_id), None)


@dataclass(frozen=True)
class ClockNow:
    """A clock at one moment: seconds since it began, rounded down; None while it has not begun.

    `passed` are the limits behind it; `left_s` runs down to the next one, rounded down.
    """

    words: str
    elapsed_s: int | None
    passed: tuple[CardLimit, ...]
    next: CardLimit | None
    left_s: int | None


def load_cards(data: bytes, name: str) -> Cards:
    """Return the cards of a file's bytes; `name` is shown as the file.

    Raises:
        FileError: lists every key that fails, with its reason.

    """
    return load(data, name, Cards)


def clocks_now(card: Card, moments: Mapping[Begins, datetime | None], now: datetime) -> tuple[ClockNow, ...]:
    """Return the clocks of a card from the moments known so far; a limit is passed once it is exceeded."""
    return tuple(_clock_now(clock, moments.get(clock.begins), now) for clock in card.clocks)


def _clock_now(clock: CardClock, begun: datetime | None, now: datetime) -> ClockNow:
    if begun is None or now < begun:
        return ClockNow(clock.words, None, (), None, None)
    gone_ms = ms_between(begun, now)
    passed = tuple(one for one in clock.limits if gone_ms > one.at_s * 1000)
    coming = next((one for one in clock.limits if gone_ms <= one.at_s * 1000), None)
    left_s = None if coming is None else seconds_down(coming.at_s * 1000 - gone_ms)
    return ClockNow(clock.words, seconds_down(gone_ms), passed, coming, left_s)
