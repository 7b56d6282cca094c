"""Air flow between depth and surface, partial pressures, and carbon dioxide in a ventilated helmet."""

FSW_PER_ATMOSPHERE = 33
LITRES_PER_CUBIC_FOOT = 28.316846592
"""By definition: (0.3048 m)^3."""

HELMET_ACFM = 4.5
"""Ventilation that is enough at any depth: 46 CFR 197.322(b)(1)."""

HELMET_CO2_ATA = 0.02
"""Inspired carbon dioxide must stay under this: 46 CFR 197.322(b)(2)."""

HELMET_CO2_SLM = 1.6
"""Carbon dioxide a diver makes, for that rule, in litres a minute at the surface: the same."""


def absolute_ata(depth_fsw: float) -> float:
    """Return the absolute pressure at a depth, in atmospheres: (D + 33) / 33."""
    return (depth_fsw + FSW_PER_ATMOSPHERE) / FSW_PER_ATMOSPHERE


def scfm(acfm: float, depth_fsw: float) -> float:
    """Return the surface flow that feeds a flow at depth (U.S. Navy Diving Manual Revision 4, 7-4.1)."""
    return acfm * absolute_ata(depth_fsw)


def acfm(flow_scfm: float, depth_fsw: float) -> float:
    """Return what a surface flow is at depth: the same formula, turned round."""
    return flow_scfm / absolute_ata(depth_fsw)


def partial_ata(percent: float, depth_fsw: float) -> float:
    """Return a gas's partial pressure in atmospheres (Dalton; the manual's 12-5)."""
    return percent / 100 * absolute_ata(depth_fsw)


def percent_for(ata: float, depth_fsw: float) -> float:
    """Return the share of a gas, in per cent, that has a partial pressure at a depth."""
    return ata / absolute_ata(depth_fsw) * 100


def inspired_co2_ata(
    co2_slm: float, ventilation_acfm: float, supply_co2_ppm: float = 0, depth_fsw: float = 0
) -> float:
    """Return the carbon dioxide a diver inspires in a ventilated helmet, in atmospheres.

    Steady-state mass balance: what the diver makes, spread over the flow in actual litres, whatever the
    depth; plus what the supplied air brings, which does grow with depth.
    """
    made = co2_slm / (ventilation_acfm * LITRES_PER_CUBIC_FOOT)
    return made + partial_ata(supply_co2_ppm / 10_000, depth_fsw)


def ventilation_suffices(ventilation_acfm: float) -> bool:
    """Return whether a helmet's ventilation passes 46 CFR 197.322(b).

    Either 4.5 acfm or more at any depth, or inspired carbon dioxide under 0.02 ATA at 1.6 slm.
    """
    return (
        ventilation_acfm >= HELMET_ACFM or inspired_co2_ata(HELMET_CO2_SLM, ventilation_acfm) < HELMET_CO2_ATA
    )
