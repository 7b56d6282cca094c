"""Units: what 1 fsw, 1 msw and a gauge pressure are, how they are typed, and that showing is never unsafe."""

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pint import DimensionalityError

from station.errors import UsageError
from station.units import (
    down_to,
    parse_depth,
    parse_flow,
    parse_pressure,
    parse_temperature,
    parse_volume,
    registry,
    show_depth,
    show_margin,
    show_needed_pressure,
    show_pressure,
    up_to,
)

quick = settings(derandomize=True, deadline=None, max_examples=200)

PASCAL_PER_PSI = 6894.757293168  # NIST Special Publication 811, appendix B.8
FSW_PASCAL = 101325 / 33  # 33 fsw to an atmosphere: U.S. Navy Diving Manual Revision 4, 7-4.1 (D + 33) / 33


def converted(value: float, unit: str, wanted: str) -> float:
    return float(registry().Quantity(value, unit).m_as(wanted))


class TestPublishedValues:
    def test_10_msw_is_100_kpa_and_1_bar(self) -> None:
        """msw_unit; from memory: U.S. Navy and DCIEM convention, 1 msw = 10 kPa."""
        assert converted(10, "msw", "kilopascal") == pytest.approx(100.0)
        assert converted(10, "msw", "bar") == pytest.approx(1.0)

    def test_a_foot_is_0_3048_m(self) -> None:
        """length_unit; from memory: international foot of 1959, ISO 80000-3."""
        assert converted(1, "foot", "meter") == pytest.approx(0.3048)

    def test_843_millibar_is_0_832_atmospheres(self) -> None:
        """atmosphere_unit; U.S. Navy Diving Manual Revision 4, 9-12.1.1 example (page 9-38)."""
        assert converted(843, "millibar", "atmosphere") == pytest.approx(0.832, abs=0.0005)

    @pytest.mark.parametrize(("feet", "metres"), [(190, 58), (60, 18), (285, 87)])
    def test_depth_limits_in_metres_are_lengths(self, feet: int, metres: int) -> None:
        """depth_limit_metres; U.S. Navy Diving Manual Revision 5, normal and maximum limits table."""
        assert round(converted(feet, "foot", "meter")) == metres

    def test_165_fsw_and_the_air_above_it_are_6_atmospheres(self) -> None:
        """absolute_pressure; 29 CFR 1910.423(c)(1)."""
        assert converted(165, "fsw", "atmosphere") + 1 == pytest.approx(6.0)

    def test_fsw_and_msw_by_pascals(self) -> None:
        """The two definitions set against each other by hand: 1 msw = 10 kPa, 33 fsw = 101.325 kPa."""
        assert parse_depth("101.325", "msw") == pytest.approx(330.0)
        assert parse_depth("10 msw", "fsw") == pytest.approx(100_000 / FSW_PASCAL)

    def test_a_gauge_shows_what_stands_above_one_atmosphere(self) -> None:
        """0 psig is 101 325 Pa absolute; 100 psig is 114.696 psi."""
        assert converted(0, "psig", "pascal") == pytest.approx(101_325)
        assert converted(100, "psig", "psi") == pytest.approx(114.696, abs=0.0005)

    def test_typed_pressures_by_pascals(self) -> None:
        assert parse_pressure("200 bar", "psig") == pytest.approx(20_000_000 / PASCAL_PER_PSI)
        assert parse_pressure("20000 kPa", "psig") == pytest.approx(20_000_000 / PASCAL_PER_PSI)

    def test_typed_volume_and_flow(self) -> None:
        """1 cu ft is 28.316846592 l by the definition of the foot."""
        assert parse_volume("28.317 l", "cu ft") == pytest.approx(1, rel=1e-4)
        assert parse_flow("28.317 l/min", "acfm") == pytest.approx(1, rel=1e-4)

    def test_typed_temperature(self) -> None:
        assert parse_temperature("50 F", "C") == pytest.approx(10.0)
        assert parse_temperature("-1", "C") == -1.0


class TestKindsStayApart:
    @pytest.mark.parametrize(
        ("unit", "wanted"),
        [("fsw", "foot"), ("msw", "meter"), ("scf", "acf"), ("scf", "foot ** 3"), ("scfm", "acfm")],
    )
    def test_refused(self, unit: str, wanted: str) -> None:
        """A pressure is no length, an amount of air no space."""
        with pytest.raises(DimensionalityError):
            converted(1, unit, wanted)

    def test_a_length_is_not_a_depth(self) -> None:
        with pytest.raises(UsageError, match=r"'ft' is not a unit of depth here \(known: fsw, msw\)"):
            parse_depth("60 ft", "fsw")

    def test_an_amount_is_not_a_volume(self) -> None:
        with pytest.raises(UsageError, match="scf is an amount"):
            parse_volume("8 scf", "cu ft")


class TestTyping:
    @pytest.mark.parametrize(
        ("text", "depth_fsw"),
        [("60", 60.0), (" 60 fsw ", 60.0), ("60FSW", 60.0), ("+60.5", 60.5), ("0", 0.0), ("-0", 0.0)],
    )
    def test_a_depth_as_typed(self, text: str, depth_fsw: float) -> None:
        assert parse_depth(text, "fsw") == depth_fsw
        assert str(parse_depth(text, "fsw")) == str(depth_fsw)

    @pytest.mark.parametrize(
        "text",
        ["", " ", "fsw", "nan", "inf", "-inf", "1_0", "0x10", "60,5", "6 0", "10**2", "\u0663", ".5", "5.",
         "60\nfsw", "1e400 fsw", "60.1234", "1234567", "60;fsw", "--60", "60 fsw fsw msw fsw"],
    )  # fmt: skip
    def test_what_is_no_plain_number_is_refused(self, text: str) -> None:
        with pytest.raises(UsageError):
            parse_depth(text, "fsw")

    @pytest.mark.parametrize("text", ["60 mfsw", "60 cfm", "60 m", "1e5", "60 psi", "60 pascal", "60 atm"])
    def test_other_units_are_refused(self, text: str) -> None:
        """Units the library knows, prefixes too, are still not units of a depth here."""
        with pytest.raises(UsageError, match="not a unit of depth"):
            parse_depth(text, "fsw")

    @pytest.mark.parametrize("parse", [parse_depth, parse_pressure])
    def test_below_zero_is_refused(self, parse: object) -> None:
        read, unit = (parse_depth, "fsw") if parse is parse_depth else (parse_pressure, "psig")
        with pytest.raises(UsageError, match="below 0"):
            read("-3", unit)

    def test_the_default_unit_stands_where_none_is_typed(self) -> None:
        assert parse_depth("20", "msw") == parse_depth("20 msw", "fsw")
        assert parse_pressure("193", "bar") == parse_pressure("193 bar", "psig")

    def test_a_long_answer_is_not_echoed_whole(self) -> None:
        with pytest.raises(UsageError) as caught:
            parse_depth("9" * 5000, "fsw")
        assert len(caught.value.message) < 200


class TestShowing:
    @pytest.mark.parametrize(
        ("depth_fsw", "unit", "text"),
        [
            (60, "fsw", "60 fsw"),
            (60.0000000001, "fsw", "60 fsw"),  # noise of a sum
            (60.01, "fsw", "61 fsw"),
            (60, "msw", "18.5 msw"),  # 18.42 up
            (0, "msw", "0.0 msw"),
        ],
    )
    def test_depths_round_up(self, depth_fsw: float, unit: str, text: str) -> None:
        assert show_depth(depth_fsw, unit) == text

    def test_pressures_round_down_and_needs_up(self) -> None:
        assert show_pressure(2799.9) == "2799 psig"
        assert show_pressure(2799.9999999999) == "2800 psig"
        assert show_pressure(91, "bar") == "6.2 bar"  # 6.274
        assert show_needed_pressure(90.2) == "91 psig"
        assert show_needed_pressure(91, "bar") == "6.3 bar"

    def test_a_margin_below_zero_rounds_further_below(self) -> None:
        assert show_margin(-0.2) == "-1 psi"
        assert show_margin(12.9) == "12 psi"
        assert show_margin(-1, "bar") == "-0.1 bar"
        assert show_margin(0, "bar") == "0.0 bar"

    def test_rounding_lands_on_short_decimals(self) -> None:
        assert up_to(22.36, 0.1) == 22.4
        assert down_to(22.49, 0.1) == 22.4
        assert up_to(2581, 100) == 2600


depths = st.floats(0, 400, allow_nan=False)
pressures = st.floats(0, 6000, allow_nan=False)
NOISE = 1e-4  # far below anything a gauge shows


@quick
@given(depths, st.sampled_from(["fsw", "msw"]))
def test_a_depth_read_back_is_never_shallower(depth_fsw: float, unit: str) -> None:
    shown = show_depth(depth_fsw, unit)
    back = parse_depth(shown, "fsw" if unit == "msw" else "msw")
    assert depth_fsw - NOISE <= back <= depth_fsw + 1
    assert show_depth(back, unit) == shown


@quick
@given(pressures, st.sampled_from(["psig", "bar"]))
def test_a_pressure_read_back_is_never_higher_and_a_need_never_lower(psig: float, unit: str) -> None:
    assert psig - 1.5 <= parse_pressure(show_pressure(psig, unit), "psig") <= psig + NOISE
    assert psig - NOISE <= parse_pressure(show_needed_pressure(psig, unit), "psig") <= psig + 1.5


@quick
@given(depths, depths, st.sampled_from(["fsw", "msw"]))
def test_deeper_never_shows_shallower(one: float, other: float, unit: str) -> None:
    low, high = sorted([one, other])
    shown = [float(show_depth(depth, unit).split()[0]) for depth in (low, high)]
    assert shown == sorted(shown)


@quick
@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Nothing typed ends in anything but a depth within reach or a clear refusal."""
    try:
        depth_fsw = parse_depth(text, "msw")
    except UsageError:
        return
    assert 0 <= depth_fsw < 4e6


def test_importing_the_module_does_not_load_the_unit_library() -> None:
    """Nor do typing and showing in the units the station keeps."""
    code = (
        "import sys, station.units as u; u.parse_depth('60', 'fsw'); u.parse_pressure('9', 'psig'); "
        "u.show_depth(60); u.show_pressure(9); sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
