"""One small invented dive as a record's body: what the zoo's records are made of."""

import hashlib
from typing import Final

_OPENED: Final = (
    '"kind":"operation.opened","title":"Sluice look-over","station":"Old Weir",'
    '"place":"Weir Reach, sluice 1","drill":false,"program":"station 1.0","files":[]'
)
_CREW: Final = (
    ("mira-holt", "Mira Holt", "supervisor"),
    ("jon-ek", "Jon Ek", "timekeeper"),
    ("lea-brandt", "Lea Brandt", "diver"),
)
_MARKS: Final = (
    ("left_surface", "09:00:00"),
    ("reached_bottom", "09:01:10"),
    ("left_bottom", "09:24:30"),
    ("reached_surface", "09:26:00"),
)


def entries(conditions: str = "calm") -> list[str]:
    """Return the bodies of the journal's entries, each a line of JSON."""
    rows = [("console", "console", "08:30:00", _OPENED)]
    for person, name, role in _CREW:
        words = f'"kind":"crew.joined","person":"{person}","name":"{name}","roles":["{role}"]'
        rows.append((person, "console", "08:31:00", words))
    noted = (
        '"kind":"conditions.noted","visibility":"2 ft","water_temperature_c":11.0,"current":"none",'
        f'"surface":"{conditions}"'
    )
    rows.append(("mira-holt", "supervisor", "08:32:00", noted))
    planned = (
        '"lane":1,"kind":"dive.planned","diver":"lea-brandt","tenders":["jon-ek"],"depth_fsw":40.0,'
        '"time_min":25,"mode":"surface-supplied air","work":"Look over the sluice"'
    )
    rows.append(("mira-holt", "supervisor", "08:33:00", planned))
    rows += [
        ("jon-ek", "timekeeper", at, f'"lane":1,"kind":"mark.taken","mark":"{mark}"') for mark, at in _MARKS
    ]
    rows.append(
        ("mira-holt", "supervisor", "10:01:05", '"lane":1,"kind":"dive.closed","condition_after":"Well"')
    )
    return [
        f'{{"version":1,"id":"{number:032x}","at":"2031-09-02T{at}.000Z","entered":"2031-09-02T{at}.000Z",'
        f'"by":"{by}","seat":"{seat}",{words}}}'
        for number, (by, seat, at, words) in enumerate(rows, start=1)
    ]


def journal(bodies: list[str]) -> str:
    """Return the body's last table, its chain reckoned here and not by the program."""
    previous, rows = bytes(32), []
    for number, body in enumerate(bodies, start=1):
        previous = hashlib.sha256(previous + hashlib.sha256(body.encode()).digest()).digest()
        rows.append(f"    {{ seq = {number}, hash = \"{previous.hex()}\", body = '{body}' }},\n")
    return f'\n[journal]\nhead = {len(rows)}\nhead_hash = "{previous.hex()}"\nentries = [\n{"".join(rows)}]\n'


def body(bodies: list[str] | None = None, *swaps: tuple[str, str]) -> bytes:
    """Return the record's body, unsigned; each swap must find its words."""
    marks = "".join(f'    {{ at = 2031-09-02T{at}.000Z, mark = "{mark}" }},\n' for mark, at in _MARKS)
    team = "".join(
        f'    {{ id = "{one}", name = "{name}", roles = ["{role}"] }},\n' for one, name, role in _CREW
    )
    text = f"""[record]
format = 1
drill = false
title = "Sluice look-over, lane 1: Lea Brandt"

[dive]
lane = 1
diver = "lea-brandt"
work = "Look over the sluice"

[people]
team = [
{team}]

[conditions]
visibility = "2 ft"
surface = "calm"

[times]
marks = [
{marks}]
bottom_time_min = 25

[after]
condition = "Well"
closed = 2031-09-02T10:01:05.000Z

[law]
asked = [
    {{ paragraph = "29 CFR 1910.423(d)(1)(v)", what = "conditions", keys = ["conditions.visibility"] }},
]

[signing]
required = ["timekeeper", "supervisor"]
""" + journal(bodies or entries())
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text.encode()
