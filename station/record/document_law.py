"""Which field of a record answers which paragraph of the law.

29 CFR 1910.423(d) lists what the record of a dive holds: (1) of every dive, (2) of dives outside the no-stop
limits, deeper than 100 fsw or with mixed gas. This station records all of it for every dive. What the
paragraphs ask for is from memory, held against the like list of 46 CFR 197.482(b); confirm before relying
on it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final


@dataclass(frozen=True)
class Asked:
    """A paragraph, what it asks for, and the keys of the record that answer it."""

    paragraph: str
    what: str
    keys: tuple[str, ...]


RECORD_OF_DIVE: Final = (
    Asked("(1)(i)", "names of the dive team, with the person in charge", ("people.team",)),
    Asked(
        "(1)(ii)",
        "date, time and location",
        ("dive.date", "dive.started", "dive.finished", "station.place"),
    ),
    Asked("(1)(iii)", "diving mode", ("dive.mode",)),
    Asked("(1)(iv)", "general nature of the work", ("dive.work",)),
    Asked(
        "(1)(v)",
        "conditions under water and on the surface",
        (
            "conditions.visibility",
            "conditions.water_temperature_c",
            "conditions.current",
            "conditions.surface",
        ),
    ),
    Asked("(1)(vi)", "maximum depth and bottom time", ("depth.maximum_fsw", "times.bottom_time_min")),
    Asked(
        "(2)(i)",
        "profile of depth, time and breathing gas",
        ("times.marks", "depth.readings", "supply.breathing_gas"),
    ),
    Asked(
        "(2)(ii)",
        "designation of the decompression table, with any modification",
        ("schedule.table", "schedule.designation", "schedule.modification"),
    ),
    Asked(
        "(2)(iii)",
        "time since the last pressure exposure, or the repetitive group",
        ("repetitive.since_last_exposure", "repetitive.group_after"),
    ),
)


def paragraphs(table: str) -> str:
    """Return the paragraphs that a table answers, as a note above it; "" when it answers none."""
    found = [
        asked.paragraph for asked in RECORD_OF_DIVE if any(key.startswith(f"{table}.") for key in asked.keys)
    ]
    return f"29 CFR 1910.423(d){', (d)'.join(found)}." if found else ""


def unanswered(body: Mapping[str, Any]) -> tuple[tuple[Asked, str], ...]:
    """Return every key that is asked for and not in the body, with who asks for it."""
    return tuple(
        (asked, key) for asked in RECORD_OF_DIVE for key in asked.keys if not _stands(body, *key.split("."))
    )


def _stands(body: Mapping[str, Any], table: str, key: str) -> bool:
    found = body.get(table)
    return isinstance(found, Mapping) and key in found
