"""Reading a supply file: shape first, then everything that must fit together, all problems at once."""

from collections.abc import Iterator, Sequence

from station.errors import FileError
from station.files import Problem, load
from station.supply.model import CONSUMERS, ROLES, Band, BandForm, Bank, Equipment, Hose, Supply


def load_supply(data: bytes, name: str) -> Supply:
    """Return the checked supply of a file's bytes; `name` is shown as the file.

    Raises:
        FileError: with every problem found, each with its key and reason.

    """
    supply = load(data, name, Supply)
    problems = [
        *_ids(supply),
        *_named(supply),
        *(problem for at, one in enumerate(supply.equipment, 1) for problem in _equipment(one, at)),
        *(problem for at, bank in enumerate(supply.banks, 1) for problem in _bank(supply, bank, at)),
        *_roles(supply),
        *(problem for at, one in enumerate(supply.hoses, 1) for problem in _hose(supply, one, at)),
        *_change_over(supply),
    ]
    if problems:
        raise FileError(name, problems)
    return supply


def _ids(supply: Supply) -> Iterator[Problem]:
    """Ids are unique: readings name manifold, banks and compressors alike."""
    yield from _twice("banks", [supply.manifold.id, *(one.id for one in supply.sources)])
    yield from _twice("equipment", [one.id for one in supply.equipment])
    yield from _twice("work_rates", [one.id for one in supply.work_rates])
    yield from _twice("hoses", [one.id for one in supply.hoses])
    yield from _twice("tests", [one.id for one in supply.tests])


def _twice(key: str, ids: Sequence[str]) -> Iterator[Problem]:
    for one in sorted({one for one in ids if ids.count(one) > 1}):
        yield key, f"the id '{one}' stands more than once; give each its own"


def _named(supply: Supply) -> Iterator[Problem]:
    equipment = [one.id for one in supply.equipment]
    if supply.equipment_in_use not in equipment:
        yield "equipment_in_use", _unknown(supply.equipment_in_use, equipment)
    rates = [one.id for one in supply.work_rates]
    if supply.consumption.work_rate not in rates:
        yield "consumption.work_rate", _unknown(supply.consumption.work_rate, rates)


def _unknown(word: str, known: Sequence[str]) -> str:
    return f"no '{word}' in this file (there are: {', '.join(known) or 'none'})"


def _equipment(equipment: Equipment, at: int) -> Iterator[Problem]:
    if isinstance(equipment.pressure, BandForm):
        yield from _bands(equipment.pressure.bands, f"equipment[{at}].pressure.bands")


def _bands(bands: Sequence[Band], key: str) -> Iterator[Problem]:
    """Bands run from 0 without gap or overlap, and deeper never asks for less."""
    if not bands:
        yield key, "holds no band; give at least one"
    reached, before = 0.0, 0.0
    for at, band in enumerate(bands, 1):
        here = f"{key}[{at}]"
        if band.over_fsw != reached:
            yield (
                f"{here}.over_fsw",
                f"is {band.over_fsw:g} but must go on from {reached:g} fsw without a gap or an overlap",
            )
        if band.down_to_fsw <= band.over_fsw:
            yield f"{here}.down_to_fsw", f"is {band.down_to_fsw:g}, not deeper than over_fsw"
        if band.psi < before:
            yield f"{here}.psi", f"is {band.psi:g}, less than the {before:g} psi of the shallower band"
        reached, before = band.down_to_fsw, band.psi


def _bank(supply: Supply, bank: Bank, at: int) -> Iterator[Problem]:
    here = f"banks[{at}]"
    if bank.flasks_on_line > bank.flasks_in_bank:
        yield (
            f"{here}.flasks_on_line",
            f"is {bank.flasks_on_line}, more than the {bank.flasks_in_bank} flasks in the bank",
        )
    if bank.minimum_psig < supply.flask_minimum.psig:
        yield (
            f"{here}.minimum_psig",
            f"is {bank.minimum_psig:g}, below the flask minimum of {supply.flask_minimum.psig:g} psig",
        )
    if bank.minimum_psig >= bank.working_psig:
        yield (
            f"{here}.minimum_psig",
            f"is {bank.minimum_psig:g}, not below the working pressure of {bank.working_psig:g} psig",
        )
    if bank.gauge_psig < bank.working_psig:
        yield (
            f"{here}.gauge_psig",
            f"is {bank.gauge_psig:g}: its gauge cannot show the working pressure of {bank.working_psig:g}",
        )

    if (
        bank.change_over_psig is not None
        and not bank.minimum_psig <= bank.change_over_psig < bank.working_psig
    ):
        yield (
            f"{here}.change_over_psig",
            f"is {bank.change_over_psig:g}, not between the minimum and the working pressure of the bank",
        )


def _hose(supply: Supply, hose: Hose, at: int) -> Iterator[Problem]:
    """A figure published for a length of hose does not hold for a longer one."""
    found = {one.id: one for one in supply.equipment}
    if hose.equipment not in found:
        yield f"hoses[{at}].equipment", _unknown(hose.equipment, list(found))
        return
    longest = found[hose.equipment].hose_ft
    if longest is not None and hose.length_ft > longest:
        yield (
            f"hoses[{at}].length_ft",
            f"is {hose.length_ft}, longer than the {longest} ft the figure of {hose.equipment} is given for",
        )


def _roles(supply: Supply) -> Iterator[Problem]:
    """A primary and a secondary supply must be there: U.S. Navy Diving Manual Revision 4, 6-28.

    The primary carries diver, standby and chamber, and so does the secondary: 46 CFR 197.340(a)-(b).
    """
    present = {one.role for one in supply.sources}
    for role in ROLES[:2]:
        if role not in present:
            yield "banks", f"no bank or compressor has the role '{role}'; a dive needs one"
            continue
        fed = {consumer for one in supply.sources if one.role == role for consumer in one.feeds}
        for consumer in CONSUMERS:
            if consumer not in fed and (consumer != "chamber" or supply.chamber):
                yield "banks", f"nothing with the role '{role}' feeds the {consumer}"


def _change_over(supply: Supply) -> Iterator[Problem]:
    """The order names every source once, primary before secondary before reserve."""
    sources = {one.id: one for one in supply.sources}
    for at, one in enumerate(supply.change_over, 1):
        if one not in sources:
            yield f"change_over[{at}]", _unknown(one, list(sources))
    yield from _twice("change_over", supply.change_over)
    missing = [one for one in sources if one not in supply.change_over]
    if missing:
        yield "change_over", f"leaves out {', '.join(missing)}"
    ranks = [ROLES.index(sources[one].role) for one in supply.change_over if one in sources]
    if ranks != sorted(ranks):
        yield "change_over", "must run primary, secondary, reserve"
