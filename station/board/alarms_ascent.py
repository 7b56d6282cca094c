"""What is wrong around the ascent: delays, a stop that is due, oxygen, the chamber, earlier dives, cards."""

from collections.abc import Iterator, Sequence

from station.board.after import OpenCard
from station.board.alarms import Alarm
from station.board.state import Board, Lane
from station.dive.altitude import NO_CORRECTION_UP_TO_FT
from station.dive.chamber import ChamberLive, Interval
from station.dive.follow import Live
from station.dive.legs import delay_words
from station.dive.surface import INTERVAL_LIMIT_S
from station.dive.text import depth_text
from station.moments import ms_between

INTERVAL_SOON_S = 60
"""A limit of the surface interval is announced this long before; station choice."""


def of_ascent(
    board: Board, lane: Lane, dive: Live, chamber: ChamberLive | None, cards: Sequence[OpenCard]
) -> Iterator[Alarm]:
    """Yield the alarms around a lane's ascent."""
    if lane.over:
        return
    if lane.mark("left_surface") is None:
        yield from _on_deck(board, lane, dive)
    if lane.in_water:
        yield from _delays(board, lane, dive)
        yield from _due(board, lane, dive)
    if chamber is not None:
        yield from _interval(lane, chamber)
        yield from _chamber(lane, chamber)
    for one in cards:
        for clock in one.clocks:
            for limit in clock.passed:
                words = f"{one.card.title}: {limit.words}: passed"
                yield Alarm("medium", f"card {one.card.id} {clock.words} {limit.at_s}", words, lane.number)


def _on_deck(board: Board, lane: Lane, dive: Live) -> Iterator[Alarm]:
    if dive.residual.minutes is None:
        yield Alarm("medium", "no repetitive dive", dive.residual.words, lane.number)
    altitude = board.setup.station.altitude_ft
    if altitude > NO_CORRECTION_UP_TO_FT and lane.arrival is None:
        words = f"the site lies at {altitude:,} ft: state when the diver arrived, and from which altitude"
        yield Alarm("low", "arrival", words, lane.number)


def _delays(board: Board, lane: Lane, dive: Live) -> Iterator[Alarm]:
    for one in dive.deviations:
        if one.running and one.minutes:
            words = f"delay: {delay_words(one, board.setup.tables.unit)}"
            yield Alarm("medium", f"delay {one.kind} {one.from_depth:g}", words, lane.number)


def _due(board: Board, lane: Lane, dive: Live) -> Iterator[Alarm]:
    """Yield what is due now at a stop: its end, or a turn of the oxygen."""
    here, coming, unit = dive.stop, dive.next_mark, board.setup.tables.unit
    if here is None or coming is None or coming.due is None or ms_between(coming.due, dive.now) < 0:
        return
    if coming.name == "left_stop":
        words = f"stop {depth_text(here.depth, unit)} is served: leave it"
        yield Alarm("low", f"stop served {here.depth:g}", words, lane.number)
    elif coming.name == "off_oxygen":
        yield Alarm("medium", "air break due", "air break is due: off oxygen", lane.number)
    elif coming.name == "on_oxygen":
        yield Alarm("medium", "oxygen due", "oxygen is due: on oxygen", lane.number)


def _interval(lane: Lane, chamber: ChamberLive) -> Iterator[Alarm]:
    interval = chamber.interval
    if interval is None or (interval.over and interval.penalty.kind == "none"):
        return
    if interval.penalty.kind != "none":
        yield Alarm("high", "surface interval", f"surface {interval.penalty.words}", lane.number)
    elif _soon(interval):
        words = f"surface interval: {interval.left_of_5_s} s left of 5:00"
        yield Alarm("high", "surface interval soon", words, lane.number)


def _soon(interval: Interval) -> bool:
    return interval.elapsed_s >= INTERVAL_LIMIT_S - INTERVAL_SOON_S


def _chamber(lane: Lane, chamber: ChamberLive) -> Iterator[Alarm]:
    coming, interval = chamber.next, chamber.interval
    inside = interval is not None and interval.over and chamber.phase != "surfaced"
    if coming is not None and inside and ms_between(coming.due, chamber.now) >= 0:
        words = f"chamber: {coming.what} is due, {coming.depth} fsw"
        yield Alarm("medium", f"chamber {coming.what} {coming.depth}", words, lane.number)
    for words in chamber.missing:
        yield Alarm("high", f"chamber missing {words}", f"chamber: {words}", lane.number)
