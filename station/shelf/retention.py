"""Up to which day each record is kept, and by which paragraph. Nothing is ever discarded here."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from station.law.after import kept_until
from station.law.conditions import Circumstances
from station.law.model import Authority
from station.shelf.entry import Entry, ShelvedDive


@dataclass(frozen=True)
class Retention:
    """A record with the last day up to which it is kept; `until` None is not known: it is kept."""

    entry: Entry
    until: date | None
    paragraph: str

    def may_go(self, today: date) -> bool:
        """Whether the rules let it be discarded: the day is over, and its record is sound."""
        return self.until is not None and today > self.until


def retention(entry: Entry, authorities: Sequence[Authority]) -> Retention:
    """Return how long a record is kept: the longest of what it says itself and of the rule files given.

    A record that is not sound cannot be believed about that, and is kept until somebody has looked at it
    (station choice). So is one by which nothing is asked.
    """
    if not entry.sound or entry.dive is None:
        return Retention(entry, None, f"not sound, so nothing it says counts: {entry.problem}")
    dive = entry.dive
    found = [(dive.keep_until, dive.keep_by)] if dive.keep_until else []
    asked = kept_until(authorities, dive.day, _circumstances(entry, dive))
    if asked is not None:
        found.append((asked.until, asked.paragraph))
    if not found:
        return Retention(entry, None, "no rule file says how long")
    until, paragraph = max(found, key=lambda one: one[0])
    return Retention(entry, until, paragraph)


def _circumstances(entry: Entry, dive: ShelvedDive) -> Circumstances:
    """Return what decides; a signed correction of what is said of sickness or injury counts as one of it."""
    corrected = [place for one in entry.signatures for place in one.addenda_to]
    return Circumstances(
        depth_fsw=dive.depth_fsw,
        outside_no_stop=dive.outside_no_stop,
        mixed_gas=dive.mixed_gas,
        sickness=dive.sickness or any(place.startswith("sickness") for place in corrected),
        casualty=dive.casualty or any(place.startswith("casualty") for place in corrected),
    )
