"""Air as a real gas: how much a flask holds at a pressure, where the trade's formula takes air as ideal.

The factor Z is our own polynomial, fitted to the reference equation of state of dry air (Lemmon, Jacobsen,
Penoncello and Friend, 2000) as implemented in CoolProp 8. Over 0 to 420 bar absolute and -10 to 50 C it
departs from that equation by less than 0.05 %. Up to some 213 bar at -10 C, 148 at 20 C and 66 at 50 C air
is more easily squeezed than an ideal gas and a flask holds more than the trade's formula says; above, less.
"""

from station.errors import LookUpError

BAR_PER_PSI = 0.0689475729
SURFACE_PSIA = 14.7
"""The atmosphere in psi as the trade's formulas have it: U.S. Navy Diving Manual Revision 4, 8-2.2.1."""

LEAST_C, MOST_C = -10.0, 50.0
MOST_BAR = 420.0
Z_BOUND = 0.0005
"""The greatest departure from the reference equation, as a share of Z."""

KELVIN = 273.15
_MIDDLE_C = 20.0

# Rows: powers 1 to 5 of the pressure in hundreds of bar; columns: powers 0 to 2 of (t - 20 C) / 100.
_FIT = (
    (-0.03458115, 0.09547718, -0.07326101),
    (0.01931759, -0.00119439, -0.00409873),
    (0.00488692, -0.02168471, 0.02334435),
    (-0.00156267, 0.00621442, -0.00697519),
    (0.00011929, -0.0005383, 0.00062656),
)


def real_gas_factor(pressure_bar: float, temperature_c: float) -> float:
    """Return Z of air at an absolute pressure in bar.

    Raises:
        LookUpError: outside 0 to 420 bar or -10 to 50 C, where the fit was not made.

    """
    if not (0 <= pressure_bar <= MOST_BAR and LEAST_C <= temperature_c <= MOST_C):
        raise LookUpError(
            f"no real-gas factor of air at {pressure_bar:g} bar and {temperature_c:g} C: the station has it "
            f"for 0 to {MOST_BAR:g} bar and {LEAST_C:g} to {MOST_C:g} C"
        )
    p, t = pressure_bar / 100, (temperature_c - _MIDDLE_C) / 100
    factor = 0.0
    for a, b, c in reversed(_FIT):
        factor = (factor + a + t * (b + t * c)) * p
    return 1 + factor


def held_scf(
    pressure_psig: float, volume_cu_ft: float, flask_c: float, breathed_c: float | None = None
) -> float:
    """Return all the air in a volume at a gauge pressure, in cubic feet at one atmosphere.

    Counted at the temperature at which it is breathed, that of the flask when none is given: what comes warm
    from a flask fills less of a cold helmet.

    Raises:
        LookUpError: outside the range of the real-gas factor.

    """
    psia = pressure_psig + SURFACE_PSIA
    cooled = (KELVIN + (flask_c if breathed_c is None else breathed_c)) / (KELVIN + flask_c)
    return psia / SURFACE_PSIA / real_gas_factor(psia * BAR_PER_PSI, flask_c) * volume_cu_ft * cooled
