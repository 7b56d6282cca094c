"""Every key of a record that a rule file may name as the answer to a paragraph, and the table's heading.

The record is made in a room above this one; a test holds this list against the records that it makes.
"""

from typing import Final

TABLES: Final[dict[str, tuple[str, tuple[str, ...]]]] = {
    "station": ("Station", ("name", "place", "altitude_ft")),
    "operation": ("Operation", ("title", "opened")),
    "dive": (
        "Dive",
        (
            "diver",
            "diver_name",
            "date",
            "started",
            "finished",
            "mode",
            "work",
            "planned",
            "planned_depth_fsw",
        ),
    ),
    "people": ("People", ("team",)),
    "conditions": (
        "Conditions under water and on the surface",
        ("visibility", "water_temperature_c", "current", "surface"),
    ),
    "planning": ("Planning before the dive", ("items",)),
    "briefing": ("Briefing before the dive", ("items",)),
    "outfit": ("Outfit", ("pieces",)),
    "inspection": ("Inspection before dressing", ("items",)),
    "dressing": ("Connecting up, dressing, undressing", ("steps",)),
    "times": ("Times of the dive", ("marks", "bottom_time_min", "total_time_of_dive_s")),
    "depth": ("Depths", ("readings", "maximum_fsw")),
    "supply": ("Air supply", ("breathing_gas", "sources", "tests", "readings")),
    "voice": ("Voice checks", ("checks",)),
    "schedule": ("Schedule in force", ("table", "designation", "modification", "trail")),
    "ascent": ("Stops and deviations", ("stops", "delays", "omitted")),
    "repetitive": (
        "Earlier dives, repetitive group, wait before flying",
        ("since_last_exposure", "group_after", "wait_before_flying"),
    ),
    "told": ("After the dive: what the diver was told, observation", ("items",)),
    "sickness": (
        "Decompression sickness",
        ("symptoms", "treatment"),
    ),
    "casualty": ("Death or injury", ("circumstances",)),
    "after": ("After the dive", ("condition", "remarks")),
    "remarks": ("Incidents and notes", ("incidents", "notes")),
}
"""Tables of a record with their headings, and those of their keys that a paragraph may ask for."""

RECORD_KEYS: Final = frozenset(f"{table}.{key}" for table, (_, keys) in TABLES.items() for key in keys)


def heading(key: str) -> str:
    """Return the heading of the table in which a key stands."""
    return TABLES[key.split(".", maxsplit=1)[0]][0]
