"""The air that everyone's way home takes: what is left of the stay, every ascent and every stop, all divers.

Method of the U.S. Navy Diving Manual Revision 4, 8-2.2.1 and 8-18: each part in whole minutes rounded up, an
ascent at its average depth, the standby diver counted with the divers. The travel between stops is charged
beside the stops even where the tables count it within them, and where its minutes would round up to more in
fewer legs the difference is charged on top: never too little.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from station.supply.demand import ASCENT_FSW_PER_MIN, ascent_minutes, average_fsw, stay_scf
from station.supply.flow import FSW_PER_ATMOSPHERE, scfm
from station.supply.model import Chamber, Consumer, Supply
from station.supply.need import OnHose, need_of
from station.units import NOISE, up_to


@dataclass(frozen=True)
class Way:
    """One diver's way home: where the diver is, how long the stay goes on, and the stops, deepest first.

    `stops` are depths in fsw with the minutes still to be served; `stay_min` are the minutes until leaving.
    """

    diver: OnHose
    stops: tuple[tuple[float, float], ...] = ()
    stay_min: float = 0


@dataclass(frozen=True)
class Part:
    """One part of a demand: `scfm` for whole `minutes` from `start_min` on, counted from now."""

    consumer: Consumer
    lane: int | None
    words: str
    depth_fsw: float
    start_min: int
    minutes: int
    scfm: float

    @property
    def scf(self) -> float:
        """Return the air of this part."""
        return self.scfm * self.minutes


@dataclass(frozen=True)
class Demand:
    """All parts, and the manifold pressure the deepest diver needs; None where the file has no figure."""

    parts: tuple[Part, ...]
    psig: int | None
    pressure_words: str

    @property
    def scf(self) -> float:
        """Return all the air, unrounded."""
        return sum(part.scf for part in self.parts)

    @property
    def minutes(self) -> int:
        """Return how long the whole of it takes, in charged minutes."""
        return max((part.start_min + part.minutes for part in self.parts), default=0)

    @property
    def words(self) -> str:
        """Return the sum in words, part by part, each rounded up."""
        return "; ".join(f"{part.words}: {up_to(part.scf):.0f} scf" for part in self.parts)


def demand(
    supply: Supply,
    ways: Sequence[Way],
    *,
    rate_fsw_per_min: float = ASCENT_FSW_PER_MIN,
    faster: float = 1,
) -> Demand:
    """Return what everybody's way home takes.

    `faster` multiplies the divers' planned flow, where more is drawn than was planned; never below 1. The
    standby is charged like the diver whose way takes most; the chamber as the file says, after the last
    diver is up.
    """
    if not ways:
        return Demand((), None, "nobody on a hose")
    times = max(1.0, faster)
    each = [tuple(_parts(supply, way, rate_fsw_per_min, times)) for way in ways]
    parts = [part for one in each for part in one]
    if supply.consumption.charge_standby:
        most = max(each, key=lambda one: sum(part.scf for part in one))
        parts += [_for_standby(part) for part in most]
    if supply.chamber is not None:
        up = max((part.start_min + part.minutes for part in parts), default=0)
        parts += _chamber(supply.chamber, up)
    needs = [need_of(supply, way.diver) for way in ways]
    leads = max(needs, key=lambda need: float("inf") if need.psig is None else need.psig)
    return Demand(tuple(parts), leads.psig, leads.pressure_words)


def _parts(supply: Supply, way: Way, rate: float, times: float) -> Iterator[Part]:
    lane, at, start = way.diver.lane, way.diver.depth_fsw, 0
    acfm = supply.work_rate_of(way.diver.work_rate).acfm * times

    def part(words: str, depth_fsw: float, minutes: float) -> Part:
        whole = int(up_to(max(0.0, minutes)))
        flow = scfm(acfm, depth_fsw)
        said = f"lane {lane} {words}, {whole} min at {depth_fsw:g} fsw"
        return Part("divers", lane, said, depth_fsw, start, whole, flow)

    for depth, minutes, words in _legs(at, way, rate):
        found = part(words, depth, minutes)
        if found.minutes:
            start += found.minutes
            yield found
    more = _rounding(at, way, rate) * acfm
    if more > NOISE:
        words = f"lane {lane} travel in fewer legs, where its minutes round up to more"
        yield Part("divers", lane, words, at, 0, 1, more)


def _legs(at: float, way: Way, rate: float) -> Iterator[tuple[float, float, str]]:
    """Yield depth, minutes and name of every leg; for a stop deeper than the diver nobody goes down."""
    yield at, way.stay_min, "stay"
    for depth, minutes in way.stops:
        above = min(at, depth)
        yield average_fsw(at, above), ascent_minutes(at, above, rate), "travel"
        yield depth, minutes, "stop"
        at = above
    yield average_fsw(at, 0), ascent_minutes(at, 0, rate), "travel"


def _rounding(at: float, way: Way, rate: float) -> float:
    """Return what the travel would come to more, in cubic feet per acfm, cut into fewer legs.

    Rounded up to minutes, a long ascent can come to more in one piece than in two; without this a stop more
    could seem to need less air. Found as the greatest sum over all ways to cut it at some of the stops.
    """
    points = [at, *(min(at, depth) for depth, _ in way.stops), 0.0]

    def leg(here: int, there: int) -> float:
        deep, shallow = points[here], points[there]
        return stay_scf(average_fsw(deep, shallow), 1, ascent_minutes(deep, shallow, rate))

    most = [0.0]
    for there in range(1, len(points)):
        most.append(max(most[here] + leg(here, there) for here in range(there)))
    return most[-1] - sum(leg(here, here + 1) for here in range(len(points) - 1))


def _for_standby(part: Part) -> Part:
    words = part.words.replace(f"lane {part.lane}", "standby", 1)
    return Part("standby", None, words, part.depth_fsw, part.start_min, part.minutes, part.scfm)


def _chamber(chamber: Chamber, start_min: int) -> Iterator[Part]:
    """Yield the pressings, each as one minute, and the ventilation at depth."""
    pressing = chamber.floodable_cu_ft * chamber.depth_fsw / FSW_PER_ATMOSPHERE
    size, depth = f"{chamber.floodable_cu_ft:g} cu ft", f"{chamber.depth_fsw:g} fsw"
    words = f"chamber pressed {chamber.pressings} x {size} to {depth}"
    yield Part("chamber", None, words, chamber.depth_fsw, start_min, chamber.pressings, pressing)
    if chamber.ventilation_min:
        words = f"chamber ventilated, {chamber.ventilation_min} min at {depth}"
        flow = scfm(chamber.ventilation_acfm, chamber.depth_fsw)
        after = start_min + chamber.pressings
        yield Part("chamber", None, words, chamber.depth_fsw, after, chamber.ventilation_min, flow)
