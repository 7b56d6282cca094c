"""Supply files: the shipped one passes, and each thing that can be wrong is named with its key."""

import tomllib
from collections.abc import Callable
from typing import Any

import pytest
import tomli_w

from station.errors import FileError
from station.shipped import shipped
from station.supply.load import load_supply
from station.supply.model import BandForm, LineForm

SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
Document = dict[str, Any]


def problems(change: Callable[[Document], object]) -> list[tuple[str, str]]:
    """Return what the loader says of the shipped file with one change made to it."""
    document = tomllib.loads(SHIPPED.read_text(encoding="utf-8"))
    change(document)
    with pytest.raises(FileError) as caught:
        load_supply(tomli_w.dumps(document).encode(), "air.toml")
    return list(caught.value.problems)


def compressor(**other: object) -> Document:
    return {
        "id": "compressor",
        "name": "Compressor",
        "role": "primary",
        "delivers_scfm": 60,
        "delivers_psig": 250,
        "source": "its plate",
        **other,
    }


class TestShippedFile:
    def test_it_passes_and_says_that_its_sizes_are_invented(self) -> None:
        supply = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
        assert supply.example
        assert all("invented" in bank.source for bank in supply.banks)

    def test_its_physical_figures_and_their_sources(self) -> None:
        """The heavy helmet's figures are from memory, and the file says so."""
        supply = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
        assert (supply.depth.psi_per_fsw, supply.flask_minimum.psig) == (0.445, 200)
        form = supply.equipment_of().pressure
        assert isinstance(form, BandForm)
        assert [(band.down_to_fsw, band.psi) for band in form.bands] == [(120, 50), (400, 100)]
        assert all("from memory" in band.source and "confirm" in band.source for band in form.bands)
        assert [(rate.id, rate.acfm) for rate in supply.work_rates] == [("least", 4.5), ("heavy", 6)]

    def test_the_chamber_and_compressor_its_comments_show_are_good_ones(self) -> None:
        """A reader may take the comments' lines as they stand."""
        text = SHIPPED.read_text(encoding="utf-8")
        _, _, comment = text.partition("# A chamber on deck, where there is one:\n")
        lines = [line for line in comment.splitlines() if line.startswith("#   ")]
        shown = "\n".join(line.removeprefix("#").strip() for line in lines)
        text = text.replace('"bank-1", "bank-2"', '"compressor", "bank-1", "bank-2"')
        supply = load_supply(f"{text}\n{shown}\n".encode(), "air.toml")
        assert [one.id for one in supply.compressors] == ["compressor"]
        assert supply.chamber is not None

    def test_its_order_and_hoses(self) -> None:
        supply = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
        assert [one.id for one in supply.in_order] == ["bank-1", "bank-2", "bank-3"]
        assert supply.hose_of("hose-2").length_ft == 350


class TestOtherFormsPass:
    def test_a_line_per_hose_length(self) -> None:
        document = tomllib.loads(SHIPPED.read_text(encoding="utf-8"))
        document["equipment"].append(
            {
                "id": "free-flow-600",
                "name": "free-flow helmet, 600 ft of hose",
                "hose_ft": 600,
                "pressure": {
                    "form": "line",
                    "psi_per_fsw": 0.62,
                    "plus_psi": 42,
                    "down_to_fsw": 190,
                    "source": "US Army TM 5-4220-225-14, 2-15",
                },
            }
        )
        supply = load_supply(tomli_w.dumps(document).encode(), "air.toml")
        assert isinstance(supply.equipment_of("free-flow-600").pressure, LineForm)


def test_a_chamber_hangs_on_primary_and_secondary() -> None:
    """46 CFR 197.340(a)-(b)."""

    def change(document: Document) -> None:
        document["banks"][0]["feeds"] = ["divers", "standby"]
        document["chamber"] = {
            "floodable_cu_ft": 400,
            "depth_fsw": 165,
            "pressings": 2,
            "ventilation_acfm": 4,
            "ventilation_min": 60,
            "source": "-",
        }

    assert problems(change) == [("banks", "nothing with the role 'primary' feeds the chamber")]


def bands(document: Document) -> list[Document]:
    found: list[Document] = document["equipment"][0]["pressure"]["bands"]
    return found


@pytest.mark.parametrize(
    ("change", "key", "why"),
    [
        (lambda d: d.pop("manifold"), "manifold", "missing"),
        (lambda d: d["banks"][0].update(flasks="8"), "banks[1].flasks", "unknown key"),
        (lambda d: d["banks"][0].update(flasks_on_lin=8), "banks[1].flasks_on_lin", "'flasks_on_line'"),
        (lambda d: d["banks"][0].update(role="spare"), "banks[1].role", "'primary'"),
        (lambda d: d["banks"][0].update(working_psig="3000"), "banks[1].working_psig", "found '3000'"),
        (lambda d: d["banks"][0].update(working_psig=99999), "banks[1].working_psig", "6000"),
        (lambda d: d["banks"][0].update(floodable_cu_ft=0), "banks[1].floodable_cu_ft", "greater than 0"),
        (lambda d: d["banks"][0].update(floodable_cu_ft=float("nan")), "banks[1].floodable_cu_ft", "finite"),
        (lambda d: d["banks"][0].update(source=""), "banks[1].source", "at least 1"),
        (lambda d: d["banks"][1].update(flasks_on_line=6), "banks[2].flasks_on_line", "more than the 5"),
        (lambda d: d["banks"][0].update(minimum_psig=199), "banks[1].minimum_psig", "below the flask"),
        (lambda d: d["banks"][0].update(minimum_psig=3000), "banks[1].minimum_psig", "not below the working"),
        (lambda d: d["banks"][0].update(gauge_psig=2999), "banks[1].gauge_psig", "cannot show"),
        (lambda d: d["banks"][0].update(change_over_psig=150), "banks[1].change_over_psig", "not between"),
        (lambda d: d["banks"][0].update(change_over_psig=3000), "banks[1].change_over_psig", "not between"),
        (lambda d: d["banks"][0].update(feeds=[]), "banks[1].feeds", "at least 1"),
        (lambda d: d["banks"].extend(d["banks"][:1] * 23), "banks", "at most 25"),
        (lambda d: d["banks"][0].update(feeds=["divers"]), "banks", "'primary' feeds the standby"),
        (lambda d: d["banks"][1].update(feeds=["standby"]), "banks", "'secondary' feeds the divers"),
        (
            lambda d: d["hoses"][0].update(equipment="mask"),
            "hoses[1].equipment",
            "there are: deep-sea-helmet",
        ),
        (lambda d: d["equipment"][0].update(hose_ft=300), "hoses[2].length_ft", "longer than the 300 ft"),
        (lambda d: d["hoses"].append(d["hoses"][0]), "hoses", "more than once"),
        (lambda d: d["tests"].append(d["tests"][0]), "tests", "more than once"),
        (lambda d: d["air_temperature"].update(flask_c=51), "air_temperature.flask_c", "50"),
        (lambda d: d["depth"].update(psi_per_fsw=0.0445), "depth.psi_per_fsw", "0.44"),
        (lambda d: d.update(equipment_in_use="mask"), "equipment_in_use", "deep-sea-helmet"),
        (lambda d: d["consumption"].update(work_rate="rest"), "consumption.work_rate", "least, heavy"),
        (lambda d: d["equipment"].clear(), "equipment_in_use", "there are: none"),
        (lambda d: bands(d).clear(), "equipment[1].pressure.bands", "no band"),
        (lambda d: d["equipment"].append(d["equipment"][0]), "equipment", "more than once"),
        (lambda d: d["work_rates"].append(d["work_rates"][0]), "work_rates", "more than once"),
        (lambda d: d["manifold"].update(id="bank-1"), "banks", "'bank-1' stands more than once"),
        (lambda d: d["banks"][0].update(role="secondary"), "banks", "the role 'primary'"),
        (lambda d: d["banks"][1].update(role="reserve"), "banks", "the role 'secondary'"),
        (lambda d: d["change_over"].pop(), "change_over", "leaves out bank-3"),
        (lambda d: d["change_over"].append("bank-1"), "change_over", "more than once"),
        (lambda d: d["change_over"].append("bank-9"), "change_over[4]", "no 'bank-9'"),
        (lambda d: d["change_over"].reverse(), "change_over", "must run primary, secondary, reserve"),
        (lambda d: d.update(compressors=[compressor()]), "change_over", "leaves out compressor"),
        (
            lambda d: d.update(compressors=[compressor(delivers_scfm=0)]),
            "compressors[1].delivers_scfm",
            "greater than 0",
        ),
        (lambda d: d.update(compressors=[compressor(id="bank-1")]), "banks", "more than once"),
        (
            lambda d: bands(d)[0].update(over_fsw=10),
            "equipment[1].pressure.bands[1].over_fsw",
            "must go on from 0 fsw",
        ),
        (
            lambda d: bands(d)[1].update(over_fsw=121),
            "equipment[1].pressure.bands[2].over_fsw",
            "must go on from 120 fsw",
        ),
        (
            lambda d: bands(d)[1].update(over_fsw=110),
            "equipment[1].pressure.bands[2].over_fsw",
            "without a gap or an overlap",
        ),
        (
            lambda d: bands(d)[1].update(down_to_fsw=120),
            "equipment[1].pressure.bands[2].down_to_fsw",
            "not deeper",
        ),
        (
            lambda d: bands(d)[1].update(psi=49),
            "equipment[1].pressure.bands[2].psi",
            "less than the 50 psi of the shallower band",
        ),
    ],
)
def test_each_fault_is_named_with_its_key(change: Callable[[Document], object], key: str, why: str) -> None:
    assert [words for found, words in problems(change) if found == key and why in words], problems(change)


def test_an_unknown_form_of_pressure_names_the_known_ones() -> None:
    ((key, why),) = problems(lambda d: d["equipment"][0]["pressure"].update(form="curve"))
    assert key.startswith("equipment[1].pressure")
    assert "'over-bottom', 'line'" in why


def test_one_fault_inside_a_list_is_one_problem() -> None:
    """A band without its figure is not also a list without bands."""
    assert [key for key, _ in problems(lambda d: bands(d)[0].pop("psi"))] == [
        "equipment[1].pressure.over-bottom.bands[1].psi"
    ]


def test_all_problems_come_at_once() -> None:
    def change(document: Document) -> None:
        document["equipment_in_use"] = "mask"
        document["banks"][0]["minimum_psig"] = 100
        document["banks"][1]["flasks_on_line"] = 9
        document["change_over"] = ["bank-1"]

    assert [key for key, _ in problems(change)] == [
        "equipment_in_use",
        "banks[1].minimum_psig",
        "banks[2].flasks_on_line",
        "change_over",
    ]


@pytest.mark.parametrize(
    ("data", "why"), [(b"\xff", "UTF-8"), (b"format = ", "TOML"), (b"", "missing"), (b"\x00", "TOML")]
)
def test_what_is_no_supply_file_is_said_to_be_none(data: bytes, why: str) -> None:
    with pytest.raises(FileError, match=why):
        load_supply(data, "air.toml")
