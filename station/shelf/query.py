"""What is asked of the shelf, and how the index is asked for it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from station.record.verify import Status

Condition = tuple[str, tuple[object, ...]]


@dataclass(frozen=True)
class Query:
    """Every condition that is given must hold; days are those of the record and count in full.

    `deeper_fsw` is exceeded and `shallower_fsw` not reached by the depth that entered the tables.
    `deviation`: "" for any, else words of its kind. `drill` None is both.
    """

    diver: str = ""
    since: date | None = None
    until: date | None = None
    place: str = ""
    deeper_fsw: float | None = None
    shallower_fsw: float | None = None
    deviation: str | None = None
    unsound: bool = False
    drill: bool | None = None

    def where(self) -> tuple[str, tuple[object, ...]]:
        """Return the condition in SQL with its values."""
        parts = list(self._conditions())
        text = " AND ".join(f"({condition})" for condition, _ in parts) or "1"
        return text, tuple(value for _, values in parts for value in values)

    def _conditions(self) -> Iterator[Condition]:
        if self.diver:
            yield "diver = ? OR diver_name = ?", (self.diver, self.diver.casefold())
        compared = {
            "day >= ?": self.since and self.since.isoformat(),
            "day <= ?": self.until and self.until.isoformat(),
            "depth_fsw > ?": self.deeper_fsw,
            "depth_fsw < ?": self.shallower_fsw,
            "deviations <> ?": None if self.deviation is None else "",
            "status <> ?": Status.SOUND.value if self.unsound else None,
            # What is not known to be a drill is no drill.
            "(drill IS 1) = ?": None if self.drill is None else int(self.drill),
        }
        yield from ((condition, (value,)) for condition, value in compared.items() if value is not None)
        for column, words in (("place", self.place), ("deviations", self.deviation or "")):
            yield from ((f"instr({column}, ?) > 0", (word,)) for word in words.casefold().split())
