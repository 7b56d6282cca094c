"""The air in `station plan`, and `station air` by its words.

The plan by hand, 6 acfm a head, diver and standby (U.S. Navy Diving Manual Revision 4, 7-4.1, 8-18); 110/35,
20 fsw for 27 min (Revision 7, Table 9-9): at 110 fsw 26 scfm x 35 = 910.00; 3 min up at 65 fsw, 17.8182 scfm,
53.45; 27 x 9.6364 = 260.18; 1 min at 10 fsw 7.82; 2.73 for travel in fewer legs. 1234.18, twice 2468.36.
"""

import json
from collections.abc import Callable
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.commands.conftest import Ran

Run = Callable[..., "Ran"]


def air(run: Run, *words: str) -> dict[str, Any]:
    ran = run("plan", *words, "--json")
    assert ran.code == 0, ran.err
    found: dict[str, Any] = json.loads(ran.out)["air"]
    return found


class TestPlan:
    def test_by_hand(self, run: Run) -> None:
        """Manifold: 110 x 0.445 = 48.95, up 49, + 50 psi; flow 2 x 26 scfm."""
        found = air(run, "110", "35")
        assert (found["need_scf"], found["manifold_psig"], found["demand_scfm"]) == (2469, 99, 52)
        assert (found["covered"], found["covered_without_primary"]) == (True, True)
        assert found["pressures_psig"] == {"bank-1": 3000, "bank-2": 3000, "bank-3": 3000}

    def test_as_the_banks_were_read_the_turn_comes_before_the_plan(self, run: Run) -> None:
        found = air(run, "110", "35", "--bank", "bank-1=700", "--bank", "bank-2=48.3bar")
        assert found["pressures_psig"]["bank-2"] == pytest.approx(700.5, abs=0.1)
        assert found["spare_scf"] == found["usable_scf"] - found["need_scf"]
        until = found["air_to_min"]
        assert air(run, "110", str(until), "--bank", "bank-1=700", "--bank", "bank-2=48.3bar")["covered"]
        after = air(run, "110", str(until + 1), "--bank", "bank-1=700", "--bank", "bank-2=48.3bar")
        assert not after["covered"]

    def test_more_divers_more_depth_and_more_time_never_need_less(self, run: Run) -> None:
        for words in (
            [("110", "35", "--divers", str(divers)) for divers in (1, 2, 3)],
            [(str(depth), "35") for depth in (40, 60, 61, 90, 100, 110, 130, 150)],
            [("100", str(minutes)) for minutes in (10, 25, 26, 35, 60, 90)],
        ):
            needs = [air(run, *one)["need_scf"] for one in words]
            assert all(before <= here for before, here in pairwise(needs)), needs

    def test_in_words(self, run: Run) -> None:
        lines = run("plan", "110", "35").out.splitlines()
        (line,) = [one for one in lines if one.startswith("Air  ")]
        assert line.startswith("Air           2469 scf for 1 diver and the standby: covered, ")
        assert "  manifold    99 psig; on the bottom 52 scfm" in lines
        short = run("plan", "110", "35", "--bank", "bank-1=500", "--bank", "bank-2=500", "--divers", "2")
        assert "for 2 divers and the standby: NOT COVERED, only by the reserve, " in short.out
        none = run("plan", "110", "35", "--bank", "bank-1=300", "--bank", "bank-2=300", "--bank", "bank-3=0")
        assert "air lasts   not for one minute of bottom time" in none.out

    @pytest.mark.parametrize(
        ("words", "said"),
        [
            (("--bank", "bank-9=100"), "not 'bank-9=100' (there are: bank-1, bank-2, bank-3)"),
            (("--bank", "bank-1"), "--bank takes a bank and its pressure such as bank-1=2800psig"),
            (("--bank", "bank-1=5001"), "5001 psig cannot be read on bank-1"),
            (("--bank", "bank-1=40fsw"), "pressure"),
            (("--divers", "0"), "--divers takes a whole number from 1 to 9, not '0'"),
        ],
    )
    def test_what_cannot_be_reckoned_with_is_refused(
        self, run: Run, words: tuple[str, ...], said: str
    ) -> None:
        ran = run("plan", "110", "35", *words)
        assert (ran.code, ran.out) == (2, "")
        assert said in ran.err


class TestAir:
    @pytest.mark.parametrize(
        ("words", "key", "value"),
        [
            # Revision 4, 8-2.2.3, Sample Problem 2, partly from memory.
            ("bank 3000 4 8cuft 130 --flow 1.4 --divers 3 --manifold 193", "ideal_scf", 5675),
            ("flow 99 --flow 4.5 --divers 2", "scfm_all", 36.0),  # 4.5 x 4 ATA x 2: Revision 4, 7-4.1
            ("pressure 90", "manifold_psig", 91),  # 40.05 up 41 + 50
            ("co2 4.5", "helmet_passes", True),  # 46 CFR 197.322(b)
        ],
    )
    def test_each_sum_by_its_words(self, run: Run, words: str, key: str, value: float) -> None:
        ran = run("air", *words.split(), "--json")
        assert ran.code == 0, ran.err
        found = json.loads(ran.out)
        assert key in found, sorted(found)
        assert found[key] == value
        assert run("air", *words.split()).out.splitlines()[-1].startswith("Rounding")

    def test_the_same_in_other_units(self, run: Run) -> None:
        """30 msw are 97.705 fsw, 200 bar 2900.75 psi, 50 l 1.76573 cu ft."""
        first = json.loads(run("air", "bank", "200bar", "4", "50l", "30msw", "--json").out)
        other = json.loads(run("air", "bank", "2900.755psig", "4", "1.766cuft", "97.705fsw", "--json").out)
        for key in ("usable_scf", "ideal_scf", "least_psig", "demand_scfm"):
            assert first[key] == pytest.approx(other[key], rel=2e-3), key
