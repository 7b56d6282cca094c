"""When a field or a duty is asked for, in the words of a rule file, and what is known of a dive for it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Final

from pydantic import AfterValidator

from station.units import to_fsw

ALWAYS: Final = "always"
NO_STOP: Final = "outside the no-stop limits"
MIXED: Final = "mixed gas"
SICKNESS: Final = "decompression sickness suspected"
CASUALTY: Final = "death or injury"
PLAIN: Final = (ALWAYS, NO_STOP, MIXED, SICKNESS, CASUALTY)
DEPTHS: Final = ("deeper than N fsw", "N fsw or deeper")
"""Conditions on the depth, in fsw or msw: without and with the depth itself."""

_DEEPER: Final = re.compile(r"deeper than (\d{1,3}) (fsw|msw)")
_OR_DEEPER: Final = re.compile(r"(\d{1,3}) (fsw|msw) or deeper")


def _known(words: str) -> str:
    if words in PLAIN or _DEEPER.fullmatch(words) or _OR_DEEPER.fullmatch(words):
        return words
    known = ", ".join(f"'{one}'" for one in (*PLAIN, *DEPTHS))
    raise ValueError(f"unknown condition '{words}'; known are: {known} (fsw or msw)")


Condition = Annotated[str, AfterValidator(_known)]


@dataclass(frozen=True)
class Circumstances:
    """What decides which fields are asked of a dive; `depth_fsw` is the maximum depth."""

    depth_fsw: float
    outside_no_stop: bool = False
    mixed_gas: bool = False
    sickness: bool = False
    casualty: bool = False


def holds(condition: str, dive: Circumstances) -> bool:
    """Whether one condition holds for a dive."""
    plain = {
        ALWAYS: True,
        NO_STOP: dive.outside_no_stop,
        MIXED: dive.mixed_gas,
        SICKNESS: dive.sickness,
        CASUALTY: dive.casualty,
    }
    if condition in plain:
        return plain[condition]
    if found := _DEEPER.fullmatch(condition):
        return dive.depth_fsw > to_fsw(float(found[1]), found[2])
    if found := _OR_DEEPER.fullmatch(condition):
        return dive.depth_fsw >= to_fsw(float(found[1]), found[2])
    raise ValueError(condition)


def applies(when: Iterable[str], dive: Circumstances) -> bool:
    """Whether any of the conditions holds."""
    return any(holds(one, dive) for one in when)
