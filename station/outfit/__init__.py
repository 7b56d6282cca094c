"""The outfit: pieces, inspection and the enforced order of dressing, as pure rules.

An outfit file says what there is and in which order; the engine is the same for every outfit. Events of
one lane fold into a `Progress` (`apply`, `refold`); `check` refuses what is not allowed yet.

    file.py      what a file holds            model.py     the outfit with its order worked out
    load.py      checks across entries        progress.py  how far a lane has come
    engine.py    the fold                     waiting.py   what an entry waits for
    rules.py     whether it is allowed        undo.py      withdrawing and amending
    views.py     rows for screens and the record
"""

from station.outfit.engine import apply, refold
from station.outfit.file import LEFT_SURFACE
from station.outfit.load import load_outfit
from station.outfit.model import Outfit
from station.outfit.progress import OutfitEvent, Progress
from station.outfit.rules import check
from station.outfit.undo import check_amendment, check_withdrawal
from station.outfit.views import (
    HoldView,
    Row,
    SectionRows,
    StudView,
    holds,
    next_row,
    next_steps,
    on_hose_since,
    ring,
    sections,
)
from station.outfit.waiting import Facts, open_for_dive, open_for_undress, ready

__all__ = [
    "LEFT_SURFACE",
    "Facts",
    "HoldView",
    "Outfit",
    "OutfitEvent",
    "Progress",
    "Row",
    "SectionRows",
    "StudView",
    "apply",
    "check",
    "check_amendment",
    "check_withdrawal",
    "holds",
    "load_outfit",
    "next_row",
    "next_steps",
    "on_hose_since",
    "open_for_dive",
    "open_for_undress",
    "ready",
    "refold",
    "ring",
    "sections",
]
