"""What must have been sampled or tested of late: when it was, when it is due again, what is out of date.

Air sample every six months (29 CFR 1910.430(b)(4), from memory; U.S. Navy Diving Manual Revision 4, 8-17:
never beyond eight). Hoses every year (29 CFR 1910.430(c), from memory) or 24 months (46 CFR 197.456). Gauges
every six months (29 CFR 1910.430(g)(2); 46 CFR 197.458(a)). The supply file says which it is to be.
"""

from calendar import monthrange
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from station.supply.model import Dated, Supply, Tested

MONTHS = 12


@dataclass(frozen=True)
class Age:
    """One test with its age: `on` and `due` are None where no date is on record, which counts as out of date.

    On the day it is due it still stands; a date in the future is no date.
    """

    id: str
    kind: Tested
    name: str
    on: date | None
    due: date | None
    out_of_date: bool
    words: str


def dated_ages(supply: Supply, entered: Mapping[str, date], today: date) -> tuple[Age, ...]:
    """Return every test of the file with its age; `entered` are dates entered at the station, by id."""
    return tuple(_age(one, entered.get(one.id, one.on), today) for one in supply.tests)


def months_after(day: date, months: int) -> date:
    """Return the same day so many months on, or the last day of that month where it has no such day."""
    year, month = divmod(day.month - 1 + months, MONTHS)
    year, month = day.year + year, month + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def _age(test: Dated, on: date | None, today: date) -> Age:
    if on is None or on > today:
        why = "no date on record" if on is None else f"dated {on.isoformat()}, which is still to come"
        words = f"{test.name}: {why}; {test.source}"
        return Age(test.id, test.kind, test.name, None, None, out_of_date=True, words=words)
    due, age = months_after(on, test.every_months), (today - on).days
    state = "OUT OF DATE since" if today > due else "good until"
    words = f"{test.name}: {on.isoformat()}, {age} days ago, {state} {due.isoformat()}; {test.source}"
    return Age(test.id, test.kind, test.name, on, due, out_of_date=today > due, words=words)
