"""Divers who ascend together: all follow the deeper depth and the longer time; in words whose they are.

Station choice: each diver's own schedule is never heavier than the common one.
"""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Own:
    """What one diver's lane comes to by itself.

    `depth` enters the tables and `minutes` is the equivalent single dive time at that depth; `lengthened`
    says that the next longer schedule was taken.
    """

    lane: int
    diver: str
    depth: float
    minutes: int
    lengthened: bool = False


@dataclass(frozen=True)
class Common:
    """The figures that hold for all: whose depth, whose time, and whether the next longer schedule."""

    depth: float
    minutes: int
    lengthened: bool
    depth_lane: int
    minutes_lane: int
    words: str

    def words_for(self, own: Own) -> str:
        """Return for one lane whose figures it follows."""
        led = [
            part
            for part, mine in (("depth", self.depth > own.depth), ("time", self.minutes > own.minutes))
            if mine
        ]
        return self.words if led else f"own figures lead; {self.words}"


def common(divers: Sequence[Own], unit: str) -> Common | None:
    """Return the figures of divers who ascend together; None for fewer than two.

    Where two are equal, the lower lane is named.
    """
    if len(divers) < 2:  # noqa: PLR2004 - it takes two to be together
        return None
    in_order = sorted(divers, key=lambda one: one.lane)
    deepest = max(in_order, key=lambda one: one.depth)
    longest = max(in_order, key=lambda one: one.minutes)
    slow = next((one for one in in_order if one.lengthened), None)
    depth, time = f"depth {deepest.depth:g} {unit}", f"time {longest.minutes} min"
    words = f"together: {depth} of {deepest.diver}, {time} of {longest.diver}"
    if slow is not None:
        words += f", next longer schedule of {slow.diver}"
    return Common(deepest.depth, longest.minutes, slow is not None, deepest.lane, longest.lane, words)
