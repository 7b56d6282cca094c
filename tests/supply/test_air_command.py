"""`station air`: published sums from typed words in any units, with formula, source and rounding."""

import argparse
import json
from collections.abc import Callable

import pytest

from station.commands import air
from station.errors import LookUpError, UsageError

Command = Callable[[argparse.Namespace], int]
GIVEN: dict[Command, dict[str, str | None]] = {
    air.bank: {
        "pressure": "3000",
        "flasks": "4",
        "volume": "8 cu ft",
        "depth": "130",
        "flow": "1.4",
        "divers": "3",
        "manifold": "193",
        "minimum": None,
        "flask": None,
        "breathed": None,
    },
    air.flow: {"flow": "4.5", "depth": "99", "divers": "1"},
    air.pressure: {"depth": "90", "equipment": None, "hose": None, "gauge": None},
    air.co2: {"flow": "4.5", "depth": None, "made": None, "supply_ppm": None},
}


def run(command: Command, **words: str | None) -> argparse.Namespace:
    given = {**GIVEN[command], "supply": None, "json": True, **words}
    options = argparse.Namespace(**given)
    assert command(options) == 0
    return options


@pytest.fixture(name="shown")
def shown_(capsys: pytest.CaptureFixture[str]) -> Callable[..., dict[str, float]]:
    def shown(command: Command, **words: str | None) -> dict[str, float]:
        run(command, **words)
        found: dict[str, float] = json.loads(capsys.readouterr().out)
        return found

    return shown


Shown = Callable[..., dict[str, float]]


class TestPublished:
    def test_bank(self, shown: Shown) -> None:
        """Revision 4, 8-2.2.3, Sample Problem 2, partly from memory: 5675 scf at 193 psig manifold."""
        found = shown(air.bank)
        assert (found["ideal_scf"], found["least_psig"], found["demand_scfm"]) == (5675, 393, 20.8)
        assert found["usable_scf"] == found["real_scf"] < 5675
        assert found["minutes"] == found["usable_scf"] // (3 * 1.4 * 163 / 33)

    def test_flow(self, shown: Shown) -> None:
        """46 CFR 197.322(b): 4.5 acfm at 99 fsw are 18 scfm."""
        assert shown(air.flow)["scfm_each"] == 18.0
        assert shown(air.flow, divers="3")["scfm_all"] == 54.0
        assert shown(air.flow, flow="4.4")["under_4_5_acfm"]

    def test_pressure(self, shown: Shown) -> None:
        """From memory: heavy helmet at 90 fsw, 91 psig; hose: 40.05 + 100 up to 141, 46 CFR 197.312(a)."""
        assert shown(air.pressure, gauge="120") == {
            "equipment": "deep-sea-helmet",
            "depth_fsw": 90,
            "manifold_psig": 91,
            "hose_working_psig": 141,
            "margin_psi": 29,
        }

    def test_co2(self, shown: Shown) -> None:
        """helmet_co2: 0.01256 ATA at 4.5 acfm and 1.6 slm, up to 0.0126; 46 CFR 197.322(b)."""
        found = shown(air.co2)
        assert (found["inspired_co2_ata"], found["under_limit"], found["helmet_passes"]) == (
            0.0126,
            True,
            True,
        )
        found = shown(air.co2, flow="2.8")
        assert (found["under_limit"], found["helmet_passes"]) == (False, False)
        assert shown(air.co2, supply_ppm="1000", depth="165")["inspired_co2_ata"] == 0.0186


class TestUnits:
    """Units never mix: the same things typed in other units give the same answers."""

    def test_bank(self, shown: Shown) -> None:
        one = shown(air.bank, manifold=None)
        for words in (
            {"pressure": "206.843 bar"},
            {"volume": "226.535 l"},
            {"depth": "39.916 msw"},
            {"flow": "39.644 l/min"},
            {"minimum": "1378.952 kpa"},
        ):
            other = shown(air.bank, manifold=None, **words)
            assert other["usable_scf"] == pytest.approx(one["usable_scf"], abs=2), words
            assert other["minutes"] == pytest.approx(one["minutes"], abs=1), words

    def test_temperature(self, shown: Shown) -> None:
        assert shown(air.bank, flask="86 F", breathed="50 F") == shown(air.bank, flask="30", breathed="10 C")
        assert shown(air.bank, flask="40")["usable_scf"] < shown(air.bank)["usable_scf"]


@pytest.mark.parametrize("command", list(GIVEN))
def test_every_sum_tells_source_and_rounding(command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    options = run(command)
    capsys.readouterr()
    options.json = False
    assert command(options) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[-1].startswith("Rounding")
    assert any("CFR" in line or "Manual" in line for line in lines)
    assert all(len(line.split("  ")[0]) <= 12 for line in lines)


def test_the_bank_shows_formula_difference_and_what_leads(capsys: pytest.CaptureFixture[str]) -> None:
    options = run(air.bank)
    capsys.readouterr()
    options.json = False
    air.bank(options)
    text = capsys.readouterr().out
    assert "5675 scf = (3000 - 393) / 14.7 x 8 cu ft x 4; U.S. Navy Diving Manual" in text
    assert "apart; real gas leads, being the smaller" in text


@pytest.mark.parametrize(
    ("command", "words", "why"),
    [
        (air.bank, {"pressure": "7000"}, "PRESSURE is 7000 psig"),
        (air.bank, {"pressure": "3000 scf"}, "not a unit of pressure"),
        (air.bank, {"volume": "0"}, "more than 0"),
        (air.bank, {"volume": "8 scf"}, "an amount of air"),
        (air.bank, {"flasks": "0"}, "1 to 200"),
        (air.bank, {"flasks": "1e3"}, "whole number"),
        (air.bank, {"minimum": "100"}, "below the flask minimum of 200"),
        (air.bank, {"flask": "60"}, "-10 to 50 C"),
        (air.bank, {"depth": "401"}, "the depth is 401 fsw"),
        (air.flow, {"divers": "0"}, "--divers takes a whole number"),
        (air.flow, {"flow": "0"}, "more than 0"),
        (air.flow, {"depth": "60 ft"}, "not a unit of depth"),
        (air.pressure, {"equipment": "mask"}, "no 'mask' in the supply file"),
        (air.pressure, {"hose": "hose-9"}, "hose-1, hose-2"),
        (air.co2, {"made": "-1"}, "plain number"),
        (air.co2, {"supply_ppm": "nan"}, "plain number"),
    ],
)
def test_what_cannot_be_reckoned_is_refused(command: Command, words: dict[str, str], why: str) -> None:
    with pytest.raises((UsageError, LookUpError)) as caught:
        run(command, **words)
    assert why in caught.value.message
