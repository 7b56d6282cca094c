"""The outfit as the engine uses it: the file and its order worked out once."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations

from station.outfit.file import Hold, Item, OutfitFile, Piece, Step

Node = Item | Step


@dataclass(frozen=True, slots=True, repr=False)
class Outfit:
    """A checked outfit. Mappings run in the order of the file; build it with `load_outfit` only.

    needs: what each item or step names, whole sections written out. before: everything that comes
    before it, however far. after: everything that stands on it. barred: the holds that bar an entry.
    nut_steps: the steps marked nut by nut; again: those of them that mark nuts as an earlier one did.
    """

    file: OutfitFile
    pieces: Mapping[str, Piece]
    items: Mapping[str, Item]
    steps: Mapping[str, Step]
    holds: Mapping[str, Hold]
    needs: Mapping[str, tuple[str, ...]]
    before: Mapping[str, tuple[str, ...]]
    after: Mapping[str, frozenset[str]]
    barred: Mapping[str, tuple[Hold, ...]]
    nut_steps: tuple[Step, ...]
    again: frozenset[str]
    release: Step

    def __repr__(self) -> str:
        return f"Outfit({self.file.name!r})"

    def node(self, name: str) -> Node:
        """Return the item or step of that id; KeyError when there is none."""
        return self.items[name] if name in self.items else self.steps[name]

    def optional(self, name: str) -> bool:
        """Say whether the entry may be left out."""
        return name in self.steps and self.steps[name].optional


def section_of(node: Node) -> str:
    """Return the section an item or step belongs to."""
    return node.section if isinstance(node, Step) else "inspection"


def pieces_of(node: Node) -> tuple[str, ...]:
    """Return the pieces that must be in hand for an item or a step."""
    return node.uses if isinstance(node, Step) else (node.piece, *node.tried_with)


def written_out(nodes: Mapping[str, Node]) -> dict[str, tuple[str, ...]]:
    """Return what each entry needs, with the name of a section replaced by all entries of it."""
    members: dict[str, list[str]] = {}
    for name, node in nodes.items():
        members.setdefault(section_of(node), []).append(name)
    return {
        name: tuple(dict.fromkeys(one for need in node.needs for one in members.get(need, [need])))
        for name, node in nodes.items()
    }


def reach(needs: Mapping[str, Iterable[str]], start: str) -> frozenset[str]:
    """Return everything that can be reached from `start` along `needs`, `start` itself only by a circle."""
    found: set[str] = set()
    to_do = list(needs[start])
    while to_do:
        name = to_do.pop()
        if name not in found:
            found.add(name)
            to_do += needs[name]
    return frozenset(found)


def circle(needs: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    """Return the shortest circle through the first entry that lies on one, or nothing.

    Each entry named needs the next, the last needs the first.
    """
    for start in needs:
        came_from: dict[str, str] = {}
        to_do = [start]
        for name in to_do:
            for need in needs[name]:
                if need == start:
                    return _way(came_from, start, name)
                if need not in came_from:
                    came_from[need] = name
                    to_do.append(need)
    return ()


def _way(came_from: Mapping[str, str], start: str, end: str) -> tuple[str, ...]:
    way = [end]
    while way[-1] != start:
        way.append(came_from[way[-1]])
    return tuple(reversed(way))


def build(file: OutfitFile) -> Outfit:
    """Work out the order of a file whose names have been checked."""
    items = {item.id: item for item in file.items}
    steps = {step.id: step for step in file.steps}
    nodes: dict[str, Node] = {**items, **steps}
    nut_steps = tuple(step for step in file.steps if step.nuts)
    needs = written_out(nodes)
    reached = {name: reach(needs, name) for name in nodes}
    return Outfit(
        file=file,
        pieces={piece.id: piece for piece in file.pieces},
        items=items,
        steps=steps,
        holds={hold.id: hold for hold in file.holds},
        needs=needs,
        before={name: tuple(one for one in nodes if one in reached[name]) for name in nodes},
        after={name: frozenset(one for one in nodes if name in reached[one]) for name in nodes},
        barred={
            name: tuple(hold for hold in file.holds if name in hold.bars)
            for hold in file.holds
            for name in hold.bars
        },
        nut_steps=nut_steps,
        again=frozenset(late.id for early, late in combinations(nut_steps, 2) if _same_mark(early, late)),
        release=next(step for step in file.steps if step.release),
    )


def _same_mark(early: Step, late: Step) -> bool:
    """Say whether two steps mark some nut the same way, as happens with the long stud's."""
    if early.nuts is None or late.nuts is None or early.nuts.mark != late.nuts.mark:
        return False
    return bool(set(early.nuts.studs) & set(late.nuts.studs))
