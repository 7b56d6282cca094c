"""Every alarm that stands at a moment, without the other figures: for whoever notes alarms and shows none."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from station.board.after import OpenCard, chamber_of, open_cards
from station.board.air_figures import AirFigures, air_of
from station.board.air_ways import breathing, present_depth_fsw
from station.board.alarms import Alarm, by_priority, of_lane
from station.board.alarms_air import of_air
from station.board.alarms_ascent import of_ascent
from station.board.alarms_schedule import of_schedule
from station.board.alarms_station import of_clock, of_observation
from station.board.facts import live, readings
from station.board.law import observation_of
from station.board.state import Board, Lane
from station.dive.chamber import ChamberLive
from station.dive.follow import Live
from station.law.after import ObservedNow
from station.supply.figures import SupplyFigures
from station.supply.figures import figures as supply_figures
from station.supply.need import OnHose


def alarms_now(board: Board, now: datetime) -> tuple[Alarm, ...]:
    """Return every alarm that stands at a moment, the most urgent first; the same as `figures` tells."""
    found: list[Alarm] = []
    observed: list[tuple[Lane, ObservedNow | None]] = []
    for lane in board.lanes.values():
        dive = live(board, lane, now)
        found += lane_alarms(
            board, lane, dive, chamber_of(board, lane, dive, now), open_cards(board, lane, now), now
        )
        observed.append((lane, observation_of(board, lane, dive, now)))
    return all_alarms(board, found, observed, supply_now(board, now), air_of(board, now), now)


def lane_alarms(  # noqa: PLR0913, PLR0917 - what a lane's alarms come from
    board: Board,
    lane: Lane,
    dive: Live,
    chamber: ChamberLive | None,
    cards: Sequence[OpenCard],
    now: datetime,
) -> tuple[Alarm, ...]:
    """Return the alarms of one lane, the most urgent first."""
    schedule = of_schedule(board, lane, dive) if lane.in_water else ()
    ascent = of_ascent(board, lane, dive, chamber, cards)
    return by_priority([*of_lane(board, lane, dive, now), *schedule, *ascent])


def all_alarms(  # noqa: PLR0913, PLR0917 - what the station's alarms come from
    board: Board,
    lanes: Iterable[Alarm],
    observed: Iterable[tuple[Lane, ObservedNow | None]],
    supply: SupplyFigures,
    air: AirFigures,
    now: datetime,
) -> tuple[Alarm, ...]:
    """Return the alarms of the lanes with those of the station, the most urgent first."""
    station = [*of_clock(board), *of_observation(board, observed, now)]
    return by_priority([*lanes, *of_air(board, supply, air, now), *station])


def supply_now(board: Board, now: datetime) -> SupplyFigures:
    """Return the figures of the supply with everyone who breathes from a hose, at the present depth."""
    divers = [OnHose(lane.number, present_depth_fsw(board, lane)) for lane in breathing(board)]
    stale = timedelta(seconds=board.setup.station.ages.pressure_s)
    return supply_figures(board.setup.supply, readings(board), divers, now, stale)
