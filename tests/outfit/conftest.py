"""A lane in which a diver is dressed entry by entry, with the shipped outfit or a small one."""

from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, get_args

import pytest

from station.errors import Refusal
from station.events import HoldReleased, ItemInspected, NutMarked, NutState, PieceDrawn, Role, StepDone
from station.outfit import Facts, Outfit, OutfitEvent, Progress, apply, check, load_outfit, refold

SHIPPED = Path(__file__).parents[2] / "configs" / "outfits" / "deep-sea.toml"
START = datetime(2031, 6, 3, 7, 0, tzinfo=UTC)
TESTED = date(2031, 5, 1)
CREW: dict[str, frozenset[Role]] = {
    "mara": frozenset({"tender"}),
    "ivo": frozenset({"tender"}),
    "sela": frozenset({"supervisor"}),
    "joni": frozenset({"diver", "tender"}),
    "oskar": frozenset({"diver"}),
    "tomma": frozenset({"timekeeper"}),
}


@dataclass
class Lane:
    """Enters events as the station does: checked, then folded. joni is the diver."""

    outfit: Outfit
    facts: Facts = field(
        default_factory=lambda: Facts(today=START.date(), diver="joni", air_pressure_read=True)
    )
    progress: Progress = field(default_factory=Progress)
    events: list[OutfitEvent] = field(default_factory=list)
    entered: int = 0

    def stamp(self, by: str) -> dict[str, Any]:
        self.entered += 1
        at = START + timedelta(seconds=self.entered)
        return {"id": f"{self.entered:032x}", "at": at, "entered": at, "by": by, "seat": "tender", "lane": 1}

    def facts_for(self, event: OutfitEvent) -> Facts:
        checker = event.checked_by if isinstance(event, StepDone) else None
        return replace(
            self.facts,
            roles=CREW.get(event.by, frozenset()),
            checker_roles=CREW.get(checker or "", frozenset()),
        )

    def enter(self, event: OutfitEvent) -> OutfitEvent:
        check(self.outfit, self.progress, event, self.facts_for(event))
        self.progress = apply(self.outfit, self.progress, event)
        self.events.append(event)
        return event

    def refusal(self, event: OutfitEvent) -> Refusal:
        """Return how an entry is refused, having seen that nothing changed by it."""
        before = repr(self.progress)
        with pytest.raises(Refusal) as caught:
            self.enter(event)
        assert repr(self.progress) == before
        return caught.value

    def takes(self, event: OutfitEvent) -> bool:
        """Try an entry and say whether it was taken; a refused one must leave everything as it was."""
        before = self.progress
        try:
            self.enter(event)
        except Refusal:
            assert self.progress is before
            return False
        return True

    def act(self, kind: str, name: str, stud: int = 0) -> OutfitEvent:
        """Return the entry of an act: draw PIECE, pass ITEM, step STEP, nut STATE and its stud."""
        if kind == "nut":
            states: dict[str, NutState] = {state: state for state in get_args(NutState)}
            return self.nut(stud, states[name])
        if kind == "draw":
            return self.drawn(name)
        return self.item(name) if kind == "pass" else self.step(name)

    def withdraw(self, target: OutfitEvent) -> None:
        self.events = [event for event in self.events if event.id != target.id]
        self.progress = refold(self.outfit, self.events)

    def drawn(self, piece: str, number: str = "1", by: str = "mara", **more: Any) -> PieceDrawn:
        if piece in self.outfit.pieces:
            more.setdefault("stamped", "27" if self.outfit.pieces[piece].stamped else None)
            more.setdefault("tested", TESTED if self.outfit.pieces[piece].test else None)
        return PieceDrawn(piece=piece, number=number, **more, **self.stamp(by))

    def item(self, item: str, by: str = "mara", *, passed: bool = True) -> ItemInspected:
        return ItemInspected(item=item, passed=passed, **self.stamp(by))

    def step(self, step: str, by: str | None = None, checked_by: str | None = "") -> StepDone:
        known = self.outfit.steps.get(step)
        if by is None:
            by = {"diver": "joni", "supervisor": "sela"}.get(known.roles[0] if known else "", "mara")
        if checked_by == "":
            checked_by = "ivo" if known and known.second_person else None
        return StepDone(step=step, checked_by=checked_by, **self.stamp(by))

    def nut(self, stud: int, state: NutState, by: str = "mara") -> NutMarked:
        return NutMarked(stud=stud, state=state, **self.stamp(by))

    def release(self, hold: str, by: str = "sela") -> HoldReleased:
        return HoldReleased(hold=hold, reason="looked at it twice", **self.stamp(by))

    def inspect(self, *leave: str) -> None:
        """Draw every piece and pass every item but those named."""
        for piece in self.outfit.pieces:
            self.enter(self.drawn(piece))
        for item in self.outfit.items:
            if item not in leave:
                self.enter(self.item(item))

    def dress(self, until: str = "", *, include: bool = False) -> None:
        """Go through the steps in the order of the file up to one, that one included when asked."""
        for step in self.outfit.steps.values():
            if step.section == "undressing" or (step.id == until and not include):
                return
            if step.id not in self.progress.done and not step.optional:
                self.mark(step.id)
            if step.id == until:
                return

    def mark(self, name: str) -> None:
        """Do one step, nut by nut where it is marked so."""
        nuts = self.outfit.steps[name].nuts
        if not nuts:
            self.enter(self.step(name))
            return
        studs = [stud for run in nuts.runs for stud in run] or list(nuts.studs)
        for stud in studs:
            if (name, stud) not in self.progress.nuts:
                self.enter(self.nut(stud, nuts.mark))


@pytest.fixture(scope="session")
def deep_sea_bytes() -> bytes:
    return SHIPPED.read_bytes()


@pytest.fixture(scope="session")
def deep_sea(deep_sea_bytes: bytes) -> Outfit:
    return load_outfit(deep_sea_bytes, "deep-sea.toml")


@pytest.fixture
def lane(deep_sea: Outfit) -> Lane:
    return Lane(deep_sea)


@pytest.fixture(scope="session")
def new_lane(deep_sea: Outfit) -> type[Lane]:
    """Return the class, for tests that dress many divers in a row or another outfit."""
    assert deep_sea.file.name == "deep-sea"
    return Lane


@pytest.fixture(scope="session")
def small_text() -> str:
    """Return a whole outfit file without a ring of studs."""
    return (Path(__file__).parent / "small.toml").read_text(encoding="utf-8")


@pytest.fixture
def small_lane(small_text: str) -> Lane:
    return Lane(load_outfit(small_text.encode(), "small.toml"))
