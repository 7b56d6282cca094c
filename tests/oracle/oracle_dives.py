"""Made-up dives for the two reckonings, brought up by what the plain one owes at each mark."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from random import Random

from oracle import Ascent, Climb, Mark
from oracle_tables import Paper, Unsettled, up

from station.dive import facts as of
from station.dive.series import EarlierDive

START = datetime(2031, 5, 4, 6, 0, tzinfo=UTC)
LATE = (-400_000, -6_000, -4_000, 0, 1, 59_999, 60_000, 60_001, 119_999, 120_000, 120_001, 250_000, 700_000)


def at(milliseconds: int) -> datetime:
    """Turn a moment of the second reckoning into one of the station's."""
    return START + timedelta(milliseconds=milliseconds)


def ms(moment: datetime | None) -> int | None:
    """Turn a moment of the station's into one of the second reckoning."""
    return None if moment is None else round((moment - START) / timedelta(milliseconds=1))


@dataclass
class Made:
    """A made-up dive, known up to some moment."""

    planned: int
    marks: list[Mark] = field(default_factory=list)
    readings: list[tuple[int, int]] = field(default_factory=list)
    before: tuple[EarlierDive, ...] = ()
    group: str | None = None
    interval: int = 0

    def known(self, now: int) -> "Made":
        """Forget what comes later."""
        marks = [one for one in self.marks if one[1] <= now]
        readings = [one for one in self.readings if one[0] <= now]
        return Made(self.planned, marks, readings, self.before, self.group, self.interval)

    def time(self, name: str) -> int | None:
        """Tell when a mark was taken."""
        return next((when for mark, when, _ in self.marks if mark == name), None)

    def depth(self, paper: Paper) -> float:
        """Tell the depth of the dive."""
        return max((paper.corrected(one) for _, one in self.readings), default=float(self.planned))

    def residual(self, paper: Paper) -> int:
        """Tell the residual nitrogen time."""
        if self.group is None:
            return 0
        minutes = paper.residual(self.group, self.interval, self.depth(paper))
        if minutes is None:
            raise Unsettled("no residual time is printed")
        return minutes

    def settled(self, paper: Paper) -> None:
        """Leave a dive out where a lesser depth, held before, brings more residual time than the one now.

        The station goes on with that heavier plan (station choice), the rule with the deeper row.
        """
        lesser = [float(self.planned), *(paper.corrected(one) for _, one in self.readings)]
        for depth in lesser if self.group else ():
            minutes = paper.residual(self.group or "", self.interval, depth)
            if depth < self.depth(paper) and minutes is not None and minutes > self.residual(paper):
                raise Unsettled("a shallower row held before asks for more residual time")

    def climb(self, paper: Paper, now: int) -> Climb:
        """Plan the way up from the bottom, left now if it has not been left."""
        depth, left = self.depth(paper), self.time("left_bottom") or now
        fresh = [paper.corrected(one) for when, one in self.readings if left - 300_000 <= when <= left]
        self.settled(paper)
        base = up(left, 60_000) + self.residual(paper)
        return Climb(paper, depth, base, fresh[-1] if fresh else depth, left)

    def ascent(self, paper: Paper, now: int) -> Ascent:
        """Reckon the way up at a moment."""
        return self.climb(paper, now).go(self.marks, now)

    def facts(self) -> of.DiveFacts:
        """Hand the dive to the station."""
        marks = tuple(
            of.Mark(name, at(when), float(depth) if depth else None)  # type: ignore[arg-type]
            for name, when, depth in self.marks
        )
        readings = tuple(of.Reading(at(when), float(one)) for when, one in self.readings)
        return of.DiveFacts(float(self.planned), 10, marks, readings, earlier=self.before)


def bottom(random: Random, paper: Paper) -> Made:
    """Make a dive up to leaving the bottom, near the rows of the tables."""
    row = random.choice([one for one in paper.rows if one["time"] < 600])
    made = Made(max(10, row["depth"] + random.choice((-12, -7, -3, 0, 0, 2))))
    minutes = max(4, row["time"] + random.choice((-3, -1, 0, 0, 1)))
    left = minutes * 60_000 - random.choice((0, 0, 1, 999, 30_000, 59_999))
    made.marks = [
        ("left_surface", 0, 0),
        ("reached_bottom", min(left - 1, 150_000), 0),
        ("left_bottom", left, 0),
    ]
    deepest = max(12, made.planned - random.choice((0, 2, 9)))
    for _ in range(random.choice((0, 1, 2, 3))):
        shallower = random.choice((0, 0, 1, 4, 15))
        made.readings.append(
            (random.choice((left, left - 299_999, random.randrange(left))), deepest - shallower)
        )
    made.readings = sorted((max(1, when), max(8, one)) for when, one in made.readings)
    if random.random() < 0.3:
        with_group(made, random)
    return made


def with_group(made: Made, random: Random) -> None:
    """Put a dive with a group before it."""
    made.group, made.interval = (
        random.choice("ABCDEFGHIJKLMNOZ"),
        random.randrange(10 * 60_000, 17 * 3_600_000),
    )
    surfaced = at(-made.interval)
    made.before = (EarlierDive(surfaced, made.group, 40.0, 30, "a record"),)


def way_up(made: Made, random: Random, paper: Paper) -> None:
    """Bring the diver up, now early, now late, by what the second reckoning owes at each mark."""
    now = made.marks[-1][1]
    hold = random.random() < 0.3
    while True:
        plan = made.ascent(paper, now)
        open_stop = next((one for one in plan.stops if one.left is None), None)
        if open_stop is None:
            due = plan.surface
            made.marks.append(("reached_surface", later(now, due, random), 0))
            return
        if open_stop.reached is None:
            if hold and len(made.marks) == 3:
                now = held(made, random, open_stop.depth, now)
                hold = False
                continue
            now = later(now, open_stop.arrive, random)
            fresh = made.ascent(paper, now)
            stop = next((one for one in fresh.stops if one.left is None), open_stop)
            made.marks.append(("reached_stop", now, stop.depth))
        else:
            now = later(now, open_stop.end, random)
            made.marks.append(("left_stop", now, open_stop.depth))


def later(now: int, due: int, random: Random) -> int:
    """Take a mark about when it is due."""
    return max(now + 1, due + (0 if random.random() < 0.4 else random.choice(LATE)))


def held(made: Made, random: Random, first: int, now: int) -> int:
    """Hold the diver somewhere between the bottom and the first stop."""
    departure = int(made.readings[-1][1] if made.readings else made.planned)
    if departure <= first + 12:
        return now + 1
    depth = random.randrange(first + 11, departure + 1)
    when = now + 1 + (departure - depth) * 2000 + random.choice((0, 0, 90_000))
    made.marks.append(("held", when, depth))
    moving = when + random.choice((30_000, 61_000, 200_000))
    made.marks.append(("moving", moving, depth))
    return moving


def moments(made: Made, random: Random) -> list[int]:
    """Choose when to look: at every mark, and between them."""
    times = [one[1] for one in made.marks]
    between = [random.randint(a, b) for a, b in pairwise(times)]
    return sorted(random.sample(times, min(4, len(times))) + random.sample(between, min(4, len(between))))
