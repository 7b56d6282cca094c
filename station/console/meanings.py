"""What the lines of each seat and page mean, for F1, in few words; and the keys that belong to each."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

Meant = Sequence[tuple[str, str]]
"""Captions as they stand on the screen, each with what it says."""

ALWAYS: Final[Meant] = (
    ("first line", "station time in UTC; DRILL and its pace where it is one; title and place"),
    (
        "alarms",
        "most urgent first: !!! HIGH act now, !! MEDIUM soon, ! LOW know it; (ACK who took notice, when)",
    ),
    ("big clock", "what it counts stands beside it; (counting down) runs to nought"),
    ("NEXT", "the mark that is expected, and when it is due"),
    ("DEPTH", "corrected depth, what was read, how long ago; OLD: read anew"),
    ("PLAN", "before the dive, depth and bottom time as planned"),
    ("last lines", "what was taken or refused last; who makes which entries; keys"),
)
PAGES: Final[Mapping[str, Meant]] = {
    "tender": (
        ("NEXT", "the step to do now, how, or what it waits for"),
        ("[ ] NEXT", "may be done now; [ ] may: can be left out; -  left: was left out"),
        (" .  waits", "something before it is open; the row under the cursor says what"),
        ("[x] done", "with the time and who did it"),
        ("[!] FAILED", "did not pass: another piece, or inspected anew"),
        ("ring", "from above, front at the bottom; J joint stud, L long stud, > nut that may be marked now"),
        ("nuts", "bare, hand, tight, tried; off and back on when one is opened again"),
        ("HOLD", "bars the dive until it is settled, or released by the supervisor with a reason"),
        ("SET ASIDE", "a piece that was found unfit, and what replaced it"),
    ),
    "timekeeper": (
        ("DEEPEST", "the depth that the schedule is taken by, and the depth of its table row"),
        ("SCHEDULE", "depth/time of the row in force, time left in it, its stops"),
        ("WHY", "how the table led there"),
        ("THEN", "the next longer row, once the time left is over"),
        ("GROUP", "repetitive group after the dive, and the class of exposure"),
        ("ASCENT", "to the first stop, in all, and when the diver is at the surface"),
        ("MARKS", "LS left surface, RB reached bottom, LB left bottom, RS reached surface"),
        ("VOICE", "last voice check and how long ago"),
        (
            "STOPS",
            "x: time taken, else due; HERE, LEFT EARLY, PASSED; at altitude: on the gauge, in the table",
        ),
        ("AIR", "pressures as read last, with their ages; LOW, OLD and LOST are said in words"),
        ("HELD? HELD", "asks where a late diver is held; then where, and since when"),
        ("LATE", "the latest delay and what it costs"),
        ("EARLIER", "what earlier dives add, and how that is found"),
        ("ENTERED", "the time that enters the tables, with its parts"),
        ("TOGETHER", "whose depth and time hold for divers who ascend together"),
        ("GAS", "what is breathed on the way up, where it is not air alone"),
        ("ALTITUDE", "how deep the dive counts as at this site"),
        ("OXYGEN", "time on oxygen in the water, and its air breaks"),
        ("CHAMBER", "the way to the chamber against its limits, then the time on oxygen there"),
        ("MISSING", "what of the chamber was cut short"),
        ("INTERVAL", "time since the diver surfaced, and the group then"),
        ("OBSERVED", "how long the diver stays under observation, and by which paragraph"),
        ("FLYING", "the wait before flying or going up to altitude"),
    ),
    "supervisor": (
        ("LANES", "each diver: phase, clock, next mark, depth, schedule"),
        ("READINESS", "what each diver still waits for before the dive, and holds"),
        ("CLOSE-OUT", "what is missing before the dive can be closed and signed"),
        ("LADDER", "leave by this time on this row: ascent, at the surface, whether the air covers it"),
        ("> and !", "> the row in force; ! exceptional exposure"),
        ("CREW", "who is here, with which duties"),
        ("CALL LIST", "whom to call, by the station file"),
        ("JOURNAL", "the last entries; corrected ones say AMENDED or WITHDRAWN"),
    ),
    "supply": (
        ("TURN", "leave the bottom by then, by air, the earliest first"),
        ("reads, age", "pressure as read, and how long ago; OLD: read anew"),
        ("minimum", "what must be there; margin: how much is above it"),
        ("lasts", "minutes until the minimum at the rate it is used now, rounded down"),
        ("LOST", "not counted on until the supervisor restores it and it is read"),
        ("drawn", "pressures read over time; each gauge by its key"),
    ),
    "journal": (
        ("number", "place in the journal; time in UTC; what was entered - by whom"),
        ("AMENDED", "another time or figure holds, by a later line with its reason; the old one stays here"),
        ("WITHDRAWN", "made in error, by a later line with its reason; it stays here and counts no more"),
    ),
    "trail": (("each line", "a rule that was applied: its source, what it was before, what it is after"),),
    "ladder": (
        ("row", "schedule of the table; > the one in force, ! exceptional exposure"),
        ("leave by", "last moment to leave the bottom on it"),
        ("total, surface", "length of the ascent; when the diver is at the surface"),
        ("class", "of exposure: normal, o2 oxygen recommended, O2 oxygen required, or exceptional"),
        ("needs, over", "air for everyone's way home and what is left of it then, scf"),
    ),
}
KEYS: Final[Mapping[str, Sequence[str]]] = {
    "tender": ("step.next", "step.row", "step.failed", "nut.next", "nut", "hold", "pen"),
    "timekeeper": ("mark.next", "depth", "pressure", "voice", "mark.other", "air", "note"),
    "supervisor": ("alarm.acknowledge", "hold", "close", "sign", "correct", "duties", "card", "incident"),
    "supply": ("pressure", "air"),
    "journal": ("correct", "note"),
    "trail": ("paper",),
    "ladder": ("paper",),
}
"""The actions that belong to a seat or page, the most used first."""
WIDEST = 14


def meanings(page: str) -> Iterator[tuple[str, list[str]]]:
    """Yield heads with the lines under them: the page's own, then the lines that are always there."""
    if page in PAGES:
        yield f"WHAT STANDS ON THIS PAGE: {page}", _lines(PAGES[page])
    yield "WHAT IS ALWAYS THERE", _lines(ALWAYS)


def _lines(meant: Meant) -> list[str]:
    return [f"{caption:<{WIDEST}} {words}" for caption, words in meant]
