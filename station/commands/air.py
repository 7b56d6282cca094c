"""`station air bank`, `station air flow`, `station air pressure`, `station air co2`: sums on deck."""

import json
import re
from argparse import Namespace
from pathlib import Path

from station.errors import UsageError
from station.files import read_bytes
from station.shipped import shipped
from station.supply.flow import HELMET_CO2_SLM
from station.supply.load import load_supply
from station.supply.model import AirTemperature, Bank, Supply
from station.supply.need import OnHose, equipment_of
from station.supply.pressure import needed
from station.supply.sums import Drawn, Sum, bank_sum, co2_sum, flow_sum, pressure_sum
from station.units import parse_depth, parse_flow, parse_pressure, parse_temperature, parse_volume

MOST_FLASKS = 200
MOST_PSIG = 6000
MOST_FSW = 400


def bank(options: Namespace) -> int:
    """Print what a bank still gives and for how long."""
    supply = _at_temperatures(_supply(options), options)
    pressure = _within(parse_pressure(options.pressure, "psig"), MOST_PSIG, "psig", "PRESSURE")
    drawn = _drawn(supply, options, options.depth)
    found = bank_sum(
        supply, _bank(supply, options, pressure), pressure, _manifold(supply, options, drawn), drawn
    )
    return _print(found, options)


def flow(options: Namespace) -> int:
    """Print what a flow at depth takes from the surface."""
    return _print(flow_sum(_drawn(_supply(options), options, options.depth)), options)


def pressure(options: Namespace) -> int:
    """Print the manifold pressure needed at a depth."""
    supply = _supply(options)
    gauge = parse_pressure(options.gauge, "psig") if options.gauge else None
    return _print(pressure_sum(supply, _on_hose(supply, options), gauge), options)


def co2(options: Namespace) -> int:
    """Print the carbon dioxide inspired in a ventilated helmet."""
    acfm = _flow(options.flow)
    made = (
        _number(options.made, "--made, in litres a minute at the surface,")
        if options.made
        else HELMET_CO2_SLM
    )
    ppm = _number(options.supply_ppm, "--supply-ppm") if options.supply_ppm else 0.0
    return _print(co2_sum(acfm, made, ppm, _depth(options.depth) if options.depth else 0.0), options)


def _print(found: Sum, options: Namespace) -> int:
    print(json.dumps(dict(found.data)) if options.json else "\n".join(found.lines))
    return 0


def _supply(options: Namespace) -> Supply:
    path = Path(options.supply) if options.supply else shipped("configs") / "supply" / "deep-sea-air.toml"
    return load_supply(read_bytes(path), str(path))


def _at_temperatures(supply: Supply, options: Namespace) -> Supply:
    """Return the supply with the temperatures that were typed in place of the file's."""
    air = supply.air_temperature
    flask = parse_temperature(options.flask, "C") if options.flask else air.flask_c
    breathed = parse_temperature(options.breathed, "C") if options.breathed else air.breathed_c
    for name, value in (("--flask", flask), ("--breathed", breathed)):
        if not -10 <= value <= 50:  # noqa: PLR2004 - the range of the real-gas factor, said in the words below
            raise UsageError(f"{name} must be from -10 to 50 C (found {value:g} C)")
    at = AirTemperature(flask_c=flask, breathed_c=breathed, source=air.source)
    return supply.model_copy(update={"air_temperature": at})


def _bank(supply: Supply, options: Namespace, pressure_psig: float) -> Bank:
    minimum = supply.flask_minimum.psig
    if options.minimum:
        minimum = _within(parse_pressure(options.minimum, "psig"), MOST_PSIG, "psig", "--minimum")
    if minimum < supply.flask_minimum.psig:
        least = f"{supply.flask_minimum.psig:g} psig of the supply file ({supply.flask_minimum.source})"
        raise UsageError(f"--minimum is {minimum:g} psig, below the flask minimum of {least}")
    flasks = _whole(options.flasks, "FLASKS, the number on line,", MOST_FLASKS)
    volume = parse_volume(options.volume, "cu ft")
    if volume <= 0:
        raise UsageError("VOLUME, the floodable volume of one flask, must be more than 0")
    return Bank(
        id="typed",
        name="Bank",
        role="primary",
        flasks_in_bank=flasks,
        flasks_on_line=flasks,
        floodable_cu_ft=_within(volume, 1000, "cu ft", "VOLUME"),
        working_psig=max(1.0, pressure_psig),
        minimum_psig=minimum,
        gauge_psig=MOST_PSIG,
        source="typed",
    )


def _manifold(supply: Supply, options: Namespace, drawn: Drawn) -> float:
    if options.manifold:
        return _within(parse_pressure(options.manifold, "psig"), MOST_PSIG / 2, "psig", "--manifold")
    equipment = equipment_of(supply, OnHose(1, drawn.depth_fsw))
    return needed(equipment, drawn.depth_fsw, supply.depth.psi_per_fsw).psig


def _drawn(supply: Supply, options: Namespace, depth: str) -> Drawn:
    acfm = _flow(options.flow) if options.flow else supply.work_rate_of().acfm
    return Drawn(_depth(depth), acfm, _whole(options.divers, "--divers", 99))


def _on_hose(supply: Supply, options: Namespace) -> OnHose:
    known = {"--equipment": [one.id for one in supply.equipment], "--hose": [one.id for one in supply.hoses]}
    for name, value in (("--equipment", options.equipment), ("--hose", options.hose)):
        if value and value not in known[name]:
            raise UsageError(
                f"{name}: no '{value[:40]}' in the supply file ({', '.join(known[name]) or 'none'})"
            )
    return OnHose(1, _depth(options.depth), options.equipment, hose=options.hose)


def _depth(text: str) -> float:
    return _within(parse_depth(text, "fsw"), MOST_FSW, "fsw", "the depth")


def _flow(text: str) -> float:
    acfm = parse_flow(text, "acfm")
    if acfm <= 0:
        raise UsageError("the flow must be more than 0")
    return acfm


def _within(value: float, most: float, unit: str, what: str) -> float:
    if value > most:
        raise UsageError(f"{what} is {value:g} {unit}, more than the {most:g} the station reckons with")
    return value


def _number(text: str, what: str) -> float:
    if not re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,3})?", text):
        raise UsageError(f"{what} takes a plain number such as 1.6, not '{text[:40]}'")
    return float(text)


def _whole(text: str, what: str, most: int) -> int:
    if not re.fullmatch(r"[0-9]{1,3}", text) or not 1 <= int(text) <= most:
        raise UsageError(f"{what} takes a whole number from 1 to {most}, not '{text[:40]}'")
    return int(text)
