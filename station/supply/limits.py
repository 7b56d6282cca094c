"""Pass or fail by published limits: the breathing air, and the hose it comes through."""

from dataclasses import dataclass

from station.supply.pressure import bottom_psi

OXYGEN_PERCENT = (20.0, 22.0)
CO2_PPM = 1000.0
CO_PPM = 20.0
"""Oxygen, carbon dioxide, carbon monoxide and odour: 46 CFR 197.340(i)."""

OIL_MG_M3 = 5.0
"""From memory: 46 CFR 197.340(i), 29 CFR 1910.430(b)(3)."""

HOSE_OVER_DEPTH_PSI = 100.0
HOSE_BURST_FACTOR = 4
"""Working and bursting pressure of a breathing hose: 46 CFR 197.312(a)."""

HOSE_TEST_FACTOR = 1.5
"""From memory: 29 CFR 1910.430(c)(1)(iii), at least once a year."""


@dataclass(frozen=True)
class AirSample:
    """What a laboratory or a detector found in the breathing air."""

    oxygen_percent: float
    co2_ppm: float
    co_ppm: float
    oil_mg_m3: float
    odour: bool = False


def air_faults(sample: AirSample) -> tuple[str, ...]:
    """Return what is wrong with the air, in words; empty when it may be breathed. A limit itself passes."""
    low, high = OXYGEN_PERCENT
    checks = (
        (
            low <= sample.oxygen_percent <= high,
            f"oxygen {sample.oxygen_percent:g} %, not {low:g} to {high:g}",
        ),
        (sample.co2_ppm <= CO2_PPM, f"carbon dioxide {sample.co2_ppm:g} ppm, over {CO2_PPM:g}"),
        (sample.co_ppm <= CO_PPM, f"carbon monoxide {sample.co_ppm:g} ppm, over {CO_PPM:g}"),
        (sample.oil_mg_m3 <= OIL_MG_M3, f"oil {sample.oil_mg_m3:g} mg/m3, over {OIL_MG_M3:g}"),
        (not sample.odour, "an objectionable odour"),
    )
    return tuple(words for passed, words in checks if not passed)


def hose_working_psig(depth_fsw: float) -> float:
    """Return the least working pressure of a breathing hose at a depth: depth pressure + 100 psi."""
    return bottom_psi(depth_fsw) + HOSE_OVER_DEPTH_PSI


def hose_burst_psig(working_psig: float) -> float:
    """Return the least bursting pressure of a hose: four times its working pressure."""
    return working_psig * HOSE_BURST_FACTOR


def hose_test_psig(working_psig: float) -> float:
    """Return the pressure a hose is tested at: one and a half times its working pressure."""
    return working_psig * HOSE_TEST_FACTOR
