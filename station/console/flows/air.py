"""The air supply: pressures read, change-overs, lost and restored sources, fillings, tests, samples."""

from collections.abc import Awaitable, Callable
from datetime import date, datetime

from station.board.air_figures import question
from station.board.entry_words import entry_words
from station.board.entry_words_air import source_name
from station.board.sources import Sources, sources_at, to_change_over_to
from station.console.desk import Desk
from station.console.dialogs.fields import Answers, Field
from station.console.keyboard import key_of
from station.console.typed import day, figure, of
from station.console.typed import pressure as pressure_check
from station.console.words_air import gauge_keys
from station.errors import Refusal
from station.events import (
    BankFilled,
    ChangedOver,
    Event,
    SampleTaken,
    SourceLost,
    SourceRestored,
    SupplyRead,
    TestDone,
)
from station.units import parse_pressure

Part = Callable[[Desk, datetime], Awaitable[None]]
FOUND = (
    ("oxygen_percent", "Oxygen, %"),
    ("co2_ppm", "Carbon dioxide, ppm"),
    ("co_ppm", "Carbon monoxide, ppm"),
    ("oil_mg_m3", "Oil, mg/m3"),
)
"""What is looked for in a sample of air."""


async def pressure(desk: Desk, at: datetime) -> None:
    """Enter a pressure read on the manifold or on a bank: the letter of the gauge, then the figure."""
    supply, unit = desk.board.setup.supply, desk.board.setup.station.units.pressure
    names = {supply.manifold.id: supply.manifold.name} | {bank.id: bank.name for bank in supply.banks}
    keys = gauge_keys(supply)
    gauge = Field(
        "gauge",
        "Gauge",
        supply.manifold.id,
        kind="pick",
        options=tuple(names.items()),
        keys=tuple(keys.get(one, "") for one in names),
    )

    def reading(answers: Answers) -> SupplyRead:
        psig = parse_pressure(answers["pressure"], unit)
        return SupplyRead(source=answers["gauge"], pressure_psig=psig, **desk.stamp("timekeeper", at))

    typed = Field(
        "pressure",
        f"Pressure, {unit}",
        check=pressure_check(unit, SupplyRead, "pressure_psig"),
        rule=lambda answers: desk.why_not(lambda: reading(answers)),
        length=12,
    )
    told = "   ".join(f"{keys[one]} {name}" for one, name in names.items() if one in keys)
    chosen = await desk.ask("pressure", f"Pressure read at {at:%H:%M:%S}", [gauge, typed], told)
    if chosen is None:
        return
    read = reading(chosen)
    why = question(desk.board, read.source, read.pressure_psig, at)
    if why and not await desk.sure("READ IT ONCE MORE", f"{why}. Is it so?"):
        desk.say("pressure: left, nothing entered")
        return
    _enter(desk, read)


async def air(desk: Desk, at: datetime) -> None:
    """Enter what has become of a source, a test or a sample; 1 and 2 are entered at once."""
    board, found = desk.board, _sources(desk, at)
    following = next(iter(to_change_over_to(board.setup.supply, found)), None)
    over = "no source is left" if following is None else f"to {source_name(board, following)}"
    here = "no source is on line" if found.feeding is None else source_name(board, found.feeding)
    options = [
        ("over", f"CHANGED OVER {over}"),
        ("lost", f"SOURCE LOST: {here}, which feeds the manifold"),
        ("over to", "changed over to another source ..."),
        ("lost which", "another source lost, or with the reason ..."),
        ("restored", "supervisor: a lost source may be counted on again ..."),
        ("filled", "a bank filled ..."),
        ("test", "supervisor: a test, passed or not ..."),
        ("sample", "supervisor: a sample of the air, what was found in it ..."),
    ]
    chosen = await desk.choose(f"Air, at {at:%H:%M:%S}", options)
    if chosen is not None:
        await _PARTS[chosen](desk, at)


def _sources(desk: Desk, at: datetime) -> Sources:
    return sources_at(desk.board.setup.supply, desk.board.sources, at)


def _enter(desk: Desk, event: Event) -> None:
    desk.enter(event, entry_words(desk.board, event))


def _named(desk: Desk, sources: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((one, source_name(desk.board, one)) for one in sources)


def _restore() -> str:
    return f"a lost source restored: key {key_of('air')}, then 5"


async def _over(desk: Desk, at: datetime) -> None:
    """Change over to the next source in the order."""
    following = to_change_over_to(desk.board.setup.supply, _sources(desk, at))
    if not following:
        raise Refusal("no source is left to change over to", [_restore()])
    _enter(desk, ChangedOver(source=following[0], **desk.stamp("timekeeper", at)))


async def _over_to(desk: Desk, at: datetime) -> None:
    """Change over to any other source; the rules say which may not be."""
    sources = to_change_over_to(desk.board.setup.supply, _sources(desk, at))
    if not sources:
        raise Refusal("no source is left to change over to", [_restore()])
    chosen = await desk.choose(f"Changed over at {at:%H:%M:%S} to", _named(desk, sources))
    if chosen is not None:
        _enter(desk, ChangedOver(source=chosen, **desk.stamp("timekeeper", at)))


async def _lost(desk: Desk, at: datetime) -> None:
    """Lose the source that feeds the manifold; the reason can follow in a note."""
    feeding = _sources(desk, at).feeding
    if feeding is None:
        raise Refusal("every source is lost already", [_restore()])
    _enter(desk, SourceLost(source=feeding, **desk.stamp("timekeeper", at)))


async def _lost_which(desk: Desk, at: datetime) -> None:
    found = _sources(desk, at)
    sources = tuple(one.id for one in desk.board.setup.supply.in_order if one.id not in found.lost)
    if not sources:
        raise Refusal("every source is lost already", [_restore()])
    fields = [
        Field("source", "Source lost", found.feeding or "", kind="pick", options=_named(desk, sources)),
        Field("reason", "Reason", check=of(SourceLost, "reason"), optional=True, length=500),
    ]
    answers = await desk.ask("lost", f"Source lost at {at:%H:%M:%S}", fields)
    if answers:
        reason = answers["reason"] or None
        _enter(desk, SourceLost(source=answers["source"], reason=reason, **desk.stamp("timekeeper", at)))


async def _restored(desk: Desk, at: datetime) -> None:
    lost = tuple(sorted(_sources(desk, at).lost))
    if not lost:
        raise Refusal("no source is lost")
    fields = [
        Field("source", "Source restored", kind="pick", options=_named(desk, lost)),
        Field("reason", "Why it may be counted on", check=of(SourceRestored, "reason"), length=500),
    ]
    answers = await desk.ask("restored", "A lost source restored; to be read before it counts", fields)
    if answers:
        stamp = desk.stamp("supervisor", at)
        _enter(desk, SourceRestored(source=answers["source"], reason=answers["reason"], **stamp))


async def _filled(desk: Desk, at: datetime) -> None:
    banks = tuple(bank.id for bank in desk.board.setup.supply.banks)
    if not banks:
        raise Refusal("the supply file has no bank to fill")
    chosen = await desk.choose(f"Which bank was filled, at {at:%H:%M:%S}?", _named(desk, banks))
    if chosen is not None:
        _enter(desk, BankFilled(source=chosen, **desk.stamp("timekeeper", at)))


def _dated(desk: Desk, at: datetime, *, sample: bool) -> list[Field]:
    """Return the fields of which test it was and when; Refusal where the supply file asks for none."""
    tests = desk.board.setup.supply.tests
    options = tuple((one.id, one.name) for one in tests if (one.kind == "air sample") == sample)
    if not options:
        raise Refusal(f"the supply file asks for no {'sample' if sample else 'test'}")
    return [
        Field("test", "Sample" if sample else "Test", kind="pick", options=options),
        Field("on", "Day it was made", at.date().isoformat(), check=day, length=10),
    ]


async def _test(desk: Desk, at: datetime) -> None:
    verdicts = (("passed", "passed"), ("failed", "FAILED"))
    fields = [
        *_dated(desk, at, sample=False),
        Field("verdict", "Passed or not", kind="pick", options=verdicts),
        Field("result", "Result", check=of(TestDone, "result"), optional=True, length=500),
    ]
    answers = await desk.ask("test", "A test done", fields)
    if answers:
        event = TestDone(
            test=answers["test"],
            on=date.fromisoformat(answers["on"]),
            passed=answers["verdict"] == "passed",
            result=answers["result"] or None,
            **desk.stamp("supervisor", at),
        )
        _enter(desk, event)


async def _sample(desk: Desk, at: datetime) -> None:
    odours = (("no", "none"), ("yes", "AN ODOUR"))
    fields = [
        *_dated(desk, at, sample=True),
        *(Field(name, label, check=figure(SampleTaken, name), length=12) for name, label in FOUND),
        Field("odour", "Odour", kind="pick", options=odours),
    ]
    answers = await desk.ask("sample", "A sample of the breathing air", fields)
    if answers:
        event = SampleTaken(
            test=answers["test"],
            on=date.fromisoformat(answers["on"]),
            odour=answers["odour"] == "yes",
            oxygen_percent=float(answers["oxygen_percent"]),
            co2_ppm=float(answers["co2_ppm"]),
            co_ppm=float(answers["co_ppm"]),
            oil_mg_m3=float(answers["oil_mg_m3"]),
            **desk.stamp("supervisor", at),
        )
        _enter(desk, event)


_PARTS: dict[str, Part] = {
    "over": _over,
    "lost": _lost,
    "over to": _over_to,
    "lost which": _lost_which,
    "restored": _restored,
    "filled": _filled,
    "test": _test,
    "sample": _sample,
}
