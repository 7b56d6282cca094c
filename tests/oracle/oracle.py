"""A second reckoning of the way up on air, mark by mark: slow, plain, written apart from the station's own.

Depths in fsw; moments in whole milliseconds after leaving the surface. The rules on delays are those of USN
Rev 6/7, 9-11.3, from memory and second-hand; where they are silent the station's default choices stand.
"""

from dataclasses import dataclass

from oracle_tables import MIN, Paper, Sheet, Stops, Unsettled, up

LET_PASS = 60_000
GRACE = 5_000
DEEP = 50
BETWEEN = 20_000
Mark = tuple[str, int, int]


@dataclass
class Served:
    """A stop: when the diver is due or came, from when it runs, to when, and when it was left."""

    depth: int
    minutes: int
    arrive: int
    start: int
    due: int
    end: int
    reached: int | None = None
    left: int | None = None
    missing: int = 0


@dataclass
class Ascent:
    """What a dive comes to at a moment on the way up."""

    added: int
    sheet: Sheet
    stops: list[Served]
    surface: int
    late: list[tuple[str, int, int]]


def merged(stops: Stops, here: int) -> Stops:
    """Serve the time of everything deeper at the present depth, in front of that depth's own."""
    deeper = sum(minutes for depth, minutes in stops if depth > here)
    rest = [[depth, minutes] for depth, minutes in stops if depth <= here]
    if deeper and (not rest or rest[0][0] != here):
        rest.insert(0, [here, 0])
    if deeper:
        rest[0][1] += deeper
    return rest


def counted(late: int) -> int:
    """Count a delay: nothing up to and including a minute, then minutes rounded up."""
    return up(late, MIN) if late > LET_PASS else 0


def no_shorter(old: Stops, new: Stops) -> Stops:
    """Take the longer of each stop (station choice: no stop still to come gets shorter)."""
    before = {depth: minutes for depth, minutes in old}  # noqa: C416 - pairs as lists
    after = {depth: minutes for depth, minutes in new}  # noqa: C416 - pairs as lists
    return [[d, max(before.get(d, 0), after.get(d, 0))] for d in sorted({*before, *after}, reverse=True)]


class Climb:
    """One way up, gone through from leaving the bottom to a moment."""

    def __init__(self, paper: Paper, depth: float, base: int, departure: float, left: int) -> None:
        """Plan it: `base` is the equivalent single dive time when the bottom was left."""
        self.paper, self.depth, self.base, self.departure, self.left = paper, depth, base, departure, left
        self.added = 0
        self.sheet = paper.sheet(depth, base)
        self.stops: Stops = [list(one) for one in self.sheet.stops]
        self.first = self.stops[0][0] if self.stops else 0
        self.late: list[tuple[str, int, int]] = []

    def travel(self, to: int) -> int:
        """Tell the travel time from the departure depth in milliseconds, seconds rounded up."""
        return 1000 * up(max(0, round((self.departure - to) * 2000)), 1000)

    def again(self, minutes: int) -> None:
        """Look the schedule up with more bottom time."""
        self.added += minutes
        self.sheet = self.paper.sheet(self.depth, self.base + self.added)
        if self.sheet.none:
            raise Unsettled("no schedule is printed for the time that a delay came to")

    def go(self, marks: list[Mark], now: int) -> Ascent:
        """Go through the marks taken by a moment."""
        reached = {depth: at for name, at, depth in marks if name == "reached_stop"}
        left = {depth: at for name, at, depth in marks if name == "left_stop"}
        surfaced = next((at for name, at, _ in marks if name == "reached_surface"), None)
        held = [(at, depth) for name, at, depth in marks if name == "held"]
        if self.sheet.none:
            raise Unsettled("an ascent without a schedule")
        start = self.before_first(reached, surfaced, held, now)
        served: list[Served] = []
        while len(served) < len(self.stops):
            served.append(self.stop(len(served), served, start, (reached, left), now))
            following = [depth for depth, _ in self.stops[len(served) :]]
            if served[-1].left is not None and following:
                start = self.between(served[-1], following[0], reached, now)
        return self.end(served, surfaced, now)

    def before_first(
        self, reached: dict[int, int], surfaced: int | None, held: list[tuple[int, int]], now: int
    ) -> tuple[int, int]:
        """Judge the travel to the first stop; tell when the diver is there and when the stop begins."""
        here = max(reached, default=None)
        over = min(reached.values()) if reached else surfaced or now
        first = self.first
        while True:
            late = over - self.left - self.travel(first)
            minutes = counted(late)
            if minutes and (not self.first or self.deeper_column(held)):
                self.added = 0
                self.again(minutes)
                self.stops = no_shorter([], self.sheet.stops)
            if not self.stops or self.stops[0][0] <= first:
                break
            first = self.stops[0][0]
        if minutes:
            self.late.append(("before the first stop", late, minutes))
            if not self.added:
                self.stops[0][1] += minutes
        if here is not None:
            self.stops = merged(self.stops, here)
        known = min((depth for _, depth in held), default=None)
        if self.stops and known is not None and self.stops[0][0] > known:
            raise Unsettled("held shallower than the first stop of the new schedule")
        if not self.stops:
            return over, over
        if self.stops[0][0] > self.departure:
            raise Unsettled("the ascent began shallower than the first stop")
        there = self.left + self.travel(self.stops[0][0])
        return there, max(there, over)

    def deeper_column(self, held: list[tuple[int, int]]) -> bool:
        """Tell whether the delay counts as at 50 fsw or deeper.

        Station choices: in several places, deeper if any was; a diver too late already when first known to
        be held was delayed in a place unknown.
        """
        unknown = not held or counted(held[0][0] - self.left - self.travel(held[0][1])) > 0
        return any(depth >= DEEP for _, depth in held) or (unknown and self.departure >= DEEP)

    def stop(
        self,
        index: int,
        served: list[Served],
        start: tuple[int, int],
        marks: tuple[dict[int, int], dict[int, int]],
        now: int,
    ) -> Served:
        """Serve one stop: judge its overrun, tell when it ends."""
        depth, minutes = self.stops[index]
        reached, left = (one.get(depth) for one in marks)
        if served and served[-1].left is None:
            start = (served[-1].end + BETWEEN, served[-1].end)
        arrive, begins = start
        if reached is None:
            return Served(depth, minutes, arrive, begins, begins + minutes * MIN, begins + minutes * MIN)
        over = now if left is None else left
        minutes = self.overrun(depth, begins, over)
        due = begins + minutes * MIN
        missing = min(due - left, minutes * MIN) if left is not None and due - left > GRACE else 0
        end = max(due, over)
        return Served(depth, minutes, arrive, begins, due, end, reached, left, missing)

    def overrun(self, depth: int, begins: int, over: int) -> int:
        """Follow an overrun minute by minute; tell the minutes owed at the stop in the end.

        Station choice: what the new schedule asks for at this stop is no delay; a new one counts after it.
        """
        while True:
            owed = next(minutes for at, minutes in self.stops if at == depth)
            due = begins + owed * MIN
            minutes = counted(over - due)
            if not minutes:
                return owed
            if depth < DEEP:
                self.late.append(("leaving a stop", over - due, minutes))
                return owed
            before, longer = self.added, owed
            for m in range(2, minutes + 1):
                self.added = before
                self.again(m)
                new = [list(one) for one in self.sheet.stops if one[0] <= depth]
                self.stops = no_shorter(self.stops, new)
                longer = next(one for at, one in self.stops if at == depth)
                if begins + longer * MIN > due + (m - 1) * MIN + 1:
                    self.late.append(("leaving a stop", (m - 1) * MIN + 1, m))
                    break
            else:
                self.late.append(("leaving a stop", over - due, minutes))
                return longer

    def between(self, gone: Served, to: int, reached: dict[int, int], now: int) -> tuple[int, int]:
        """Judge the travel between two stops; tell when the diver is at the next and when it begins."""
        assert gone.left is not None
        usual = 1000 * up((gone.depth - to) * 2000, 1000)
        over = reached.get(to, now)
        late = over - gone.left - usual
        minutes = counted(late)
        arrive = gone.end + usual
        if not minutes:
            return arrive, gone.end
        self.late.append(("between stops", late, minutes))
        if gone.depth >= DEEP:
            before = self.added
            for m in range(2, minutes + 1):
                self.added = before
                self.again(m)
                new = [list(one) for one in self.sheet.stops if one[0] <= to]
                self.stops = no_shorter(self.stops, new)
        return arrive, max(gone.end, over)

    def end(self, served: list[Served], surfaced: int | None, now: int) -> Ascent:
        """Tell when the surface is due, or was reached."""
        if not served:
            due = self.left + self.travel(0)
        else:
            due = served[-1].end + 1000 * up(served[-1].depth * 2000, 1000)
            for one in served:
                if surfaced is not None and one.reached is None:
                    one.missing = one.minutes * MIN
            travel = 1000 * up(served[-1].depth * 2000, 1000)
            if surfaced is not None and served[-1].left is not None:
                late = surfaced - served[-1].left - travel
                self.late += [("to the surface", late, counted(late))] * (counted(late) > 0)
        surface = surfaced if surfaced is not None else max(due, now)
        return Ascent(self.added, self.sheet, served, surface, self.late)
