"""Loading an outfit file and the checks that look across its entries, all problems listed at once."""

import difflib
from collections.abc import Iterable, Iterator, Mapping

from station.errors import FileError
from station.events import NutState
from station.files import Problem, load
from station.outfit.file import LEFT_SURFACE, Hold, OutfitFile, Step
from station.outfit.model import Node, Outfit, build, circle, pieces_of, section_of, written_out

SECTIONS = ("inspection", "connecting", "dressing", "ladder", "undressing")
TIGHTENING = ("hand_tight", "wrenched", "tried")
FOLLOWS: dict[NutState | None, tuple[NutState, ...]] = {
    None: ("hand_tight",),
    "hand_tight": ("wrenched",),
    "wrenched": ("tried",),
    "tried": ("off",),
    "off": ("back_on",),
    "back_on": ("wrenched",),
}
"""What may become of a nut, from one mark to the next."""


def load_outfit(data: bytes, name: str) -> Outfit:
    """Return the checked outfit of a file's bytes; FileError lists every problem.

    `name` is what messages call the file. Names are checked before the order, since an order over
    unknown names means nothing.
    """
    file = load(data, name, OutfitFile)
    every: tuple[Node, ...] = (*file.items, *file.steps)
    nodes = {node.id: node for node in every}
    problems = [*_doubles(file), *_unknown(file, nodes), *_ring(file), *_people(file)]
    if not problems:
        problems = list(_circles(nodes))
    if not problems:
        outfit = build(file)
        problems = [*_release(outfit), *_sections(outfit), *_nut_order(outfit), *_holds(outfit)]
        if not problems:
            return outfit
    raise FileError(name, problems)


def _doubles(file: OutfitFile) -> Iterator[Problem]:
    every: tuple[Node, ...] = (*file.items, *file.steps)
    groups: tuple[tuple[str, list[str]], ...] = (
        ("pieces", [piece.id for piece in file.pieces]),
        ("items and steps", [*SECTIONS, LEFT_SURFACE, *(node.id for node in every)]),
        ("holds", [hold.id for hold in file.holds]),
    )
    for where, names in groups:
        for name in sorted({name for name in names if names.count(name) > 1}):
            reserved = name in SECTIONS or name == LEFT_SURFACE
            yield (
                f"{where}.{name}",
                "is a reserved name" if reserved else "is used more than once; every id stands for one thing",
            )


def _unknown(file: OutfitFile, nodes: Mapping[str, Node]) -> Iterator[Problem]:
    pieces = [piece.id for piece in file.pieces]
    for node in nodes.values():
        key = f"{'steps' if isinstance(node, Step) else 'items'}.{node.id}"
        yield from _strangers(f"{key}.needs", node.needs, (*nodes, *SECTIONS), "item, step or section")
        place = "uses" if isinstance(node, Step) else "piece"
        yield from _strangers(f"{key}.{place}", pieces_of(node), pieces, "piece")
    for hold in file.holds:
        key = f"holds.{hold.id}"
        yield from _strangers(f"{key}.bars", hold.bars, (*nodes, LEFT_SURFACE), "item or step")
        yield from _strangers(f"{key}.until", hold.until, nodes, "item or step")
        yield from _strangers(f"{key}.same_stamp", hold.same_stamp, pieces, "piece")
        yield from _strangers(f"{key}.test_of", (hold.test_of,) if hold.test_of else (), pieces, "piece")


def _strangers(key: str, names: Iterable[str], known: Iterable[str], what: str) -> Iterator[Problem]:
    known = list(known)
    for name in names:
        if name not in known:
            near = difflib.get_close_matches(name, known, n=1)
            yield key, f"no {what} is called '{name}'" + (f"; did you mean '{near[0]}'?" if near else "")


def _ring(file: OutfitFile) -> Iterator[Problem]:
    studs = [stud.number for stud in file.ring.studs] if file.ring else []
    if studs != list(range(1, len(studs) + 1)):
        yield "ring.studs", f"must be numbered 1 to {len(studs)} in order (found {_listed(studs)})"
    for step in file.steps:
        if step.nuts:
            yield from _nuts(step, studs)
    if file.ring:
        for mark in TIGHTENING:
            marked = {
                one for step in file.steps if step.nuts and step.nuts.mark == mark for one in step.nuts.studs
            }
            if left := [stud for stud in studs if stud not in marked]:
                yield "ring.studs", f"no step marks these {mark.replace('_', ' ')}: {_listed(left)}"
        yield from _long_stud(file)


def _nuts(step: Step, ring: list[int]) -> Iterator[Problem]:
    nuts = step.nuts
    if nuts is None:
        return
    key = f"steps.{step.id}.nuts"
    if strange := [stud for stud in nuts.studs if stud not in ring]:
        yield f"{key}.studs", f"not on the ring: {_listed(strange)}"
    if len(set(nuts.studs)) != len(nuts.studs):
        yield f"{key}.studs", "names a stud twice"
    in_runs = [stud for run in nuts.runs for stud in run]
    if nuts.runs and sorted(in_runs) != sorted(nuts.studs):
        found = f"studs {_listed(sorted(nuts.studs))}, runs {_listed(sorted(in_runs))}"
        yield f"{key}.runs", f"must name each stud of the step once ({found})"
    if step.optional or step.second_person or step.release:
        yield key, "a step marked nut by nut cannot be optional, checked by a second person, or the release"


def _long_stud(file: OutfitFile) -> Iterator[Problem]:
    long = [stud.number for stud in file.ring.studs if stud.long] if file.ring else []
    if len(long) > 1:
        yield "ring.studs", f"more than one long stud: {_listed(long)}"
    for step in file.steps:
        if step.nuts and step.nuts.mark in {"off", "back_on"} and list(step.nuts.studs) != long:
            yield f"steps.{step.id}.nuts.studs", "only the nut of the long stud comes off again"


def _people(file: OutfitFile) -> Iterator[Problem]:
    releases = [step for step in file.steps if step.release]
    if len(releases) != 1:
        yield "steps", f"one step must be the release to dive (found {len(releases)} with release = true)"
    for step in releases:
        if step.roles != ("supervisor",) or step.section != "dressing" or step.optional:
            yield f"steps.{step.id}", "the release is a dressing step of the supervisor alone, never optional"
    if not any(item.always for item in file.items):
        # 29 CFR 1910.430(h)(1)(i), from memory; 46 CFR 197.322(a)(1): a helmet has a non-return valve.
        yield "items", "one item at least, the test of the non-return valve, must have always = true"


def _circles(nodes: Mapping[str, Node]) -> Iterator[Problem]:
    needs = written_out(nodes)
    while way := circle(needs):
        yield "needs", "the order runs in a circle: " + " needs ".join((*way, way[0]))
        needs |= dict.fromkeys(way, ())  # look for further circles beside this one


def _release(outfit: Outfit) -> Iterator[Problem]:
    """Nothing required may be left open behind the release, and no ladder step may come before it."""
    release = outfit.release.id
    for name in (*outfit.items, *outfit.steps):
        section = section_of(outfit.node(name))
        if section in {"inspection", "connecting", "dressing"} and name != release:
            if not outfit.optional(name) and name not in outfit.before[release]:
                yield f"steps.{release}.needs", f"ready to dive does not wait for '{name}', which is required"
        elif section == "ladder" and release not in outfit.before[name]:
            yield f"steps.{name}.needs", f"a ladder step must wait for '{release}'"


def _sections(outfit: Outfit) -> Iterator[Problem]:
    for name, needs in outfit.needs.items():
        for need in needs:
            undressing = section_of(outfit.node(name)) == "undressing"
            if undressing != (section_of(outfit.node(need)) == "undressing"):
                yield f"steps.{name}.needs", f"'{need}' is on the other side of the dive"


def _nut_order(outfit: Outfit) -> Iterator[Problem]:
    """Steps that mark the same nut must follow one another, each from the state before, and end tight.

    Otherwise a mark would not say which step is meant, or a nut could be left off.
    """
    for stud in outfit.file.ring.studs if outfit.file.ring else ():
        before: Step | None = None
        state: NutState | None = None
        for step in outfit.nut_steps:
            if step.nuts and stud.number in step.nuts.studs:
                key = f"steps.{step.id}"
                if before and before.id not in outfit.before[step.id]:
                    yield (
                        f"{key}.needs",
                        f"marks nut {stud.number} after '{before.id}' and must come after it",
                    )
                if step.nuts.mark not in FOLLOWS[state]:
                    yield f"{key}.nuts.mark", f"nut {stud.number} cannot be {step.nuts.mark} after {state}"
                before, state = step, step.nuts.mark
        if before and state in {"off", "back_on"}:
            yield f"steps.{before.id}.nuts.mark", f"nut {stud.number} would be left {state}, not tight"


def _holds(outfit: Outfit) -> Iterator[Problem]:
    for hold in outfit.holds.values():
        key = f"holds.{hold.id}"
        if not (hold.until or hold.test_of or hold.same_stamp or hold.fact):
            yield key, "has no condition (until, test_of, same_stamp or fact)"
        if hold.test_of and not outfit.pieces[hold.test_of].test:
            yield f"{key}.test_of", f"piece '{hold.test_of}' has no test"
        for piece in hold.same_stamp:
            if not outfit.pieces[piece].stamped:
                yield f"{key}.same_stamp", f"piece '{piece}' is not a stamped one"
        if not hold.absolute:
            yield from _may_be_released(outfit, hold)


def _may_be_released(outfit: Outfit, hold: Hold) -> Iterator[Problem]:
    for name in hold.bars:
        if name in (LEFT_SURFACE, outfit.release.id):
            yield f"holds.{hold.id}", f"a hold on '{name}' must be absolute"
        elif name in outfit.items and outfit.items[name].always:
            yield f"holds.{hold.id}", f"'{name}' can never be overridden; the hold must be absolute"


def _listed(numbers: Iterable[int]) -> str:
    return ", ".join(map(str, numbers)) or "none"
