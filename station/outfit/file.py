"""What an outfit file holds: pieces, inspection items, steps, the ring of studs, holds.

Read from TOML by `station.outfit.load`; nothing here looks across entries, that is the loader's.
"""

from typing import Annotated, Literal

from pydantic import Field

from station.events import Name, NutState, Role, Slug, Text
from station.files import FileModel

FactName = Literal["air_pressure_read"]
StudNumber = Annotated[int, Field(ge=1, le=99)]

LEFT_SURFACE = "left-surface"
"""What a hold names to bar the mark that opens the dive, which is no step of an outfit file."""
TENDER: tuple[Role, ...] = ("tender",)


class Test(FileModel):
    """A test that a piece must have passed within so many days; `basis` says where the figure is from."""

    what: Text
    every_days: Annotated[int, Field(ge=1, le=3660)]
    basis: Text


class Piece(FileModel):
    """A piece drawn from the store by its own number; `stamped` ones carry the number of their set too."""

    id: Slug
    title: Name
    stamped: bool = False
    test: Test | None = None


class Item(FileModel):
    """One thing to look at before dressing.

    A failure with remedy "replace" sets `piece` aside until another has passed all its items; with
    "put-right" the same item is looked at again after the repair. The item starts over too when one of
    the pieces in `tried_with` is exchanged. An `always` item can never be left out or overridden.
    """

    id: Slug
    piece: Slug
    tried_with: tuple[Slug, ...] = ()
    part: Name
    look: Text
    passes: Text
    fails: Text
    remedy: Literal["replace", "put-right"]
    always: bool = False
    needs: tuple[Slug, ...] = ()
    roles: Annotated[tuple[Role, ...], Field(min_length=1)] = TENDER
    source: Text | None = None


class Nuts(FileModel):
    """A step that is marked nut by nut.

    Each of `runs` is followed from its first stud to its last, the runs independently of one another; with
    no runs any order will do. `together`: no other entry between the first and the last nut. `one_person`:
    whoever marks the first marks them all.
    """

    mark: NutState
    studs: Annotated[tuple[StudNumber, ...], Field(min_length=1)]
    runs: tuple[tuple[StudNumber, ...], ...] = ()
    together: bool = False
    one_person: bool = False


class Step(FileModel):
    """One step of connecting, dressing, the ladder or undressing.

    `needs` names steps, items, or a whole section. `uses` names the pieces in hand: when one of them is
    exchanged, the step and all that stands on it are gone through again. An optional step comes before
    the steps that name it or not at all. `release` is the one step that says ready to dive; from a step
    with `on_hose` on, the diver breathes from the hose alone.
    """

    id: Slug
    section: Literal["connecting", "dressing", "ladder", "undressing"]
    title: Name
    how: Text
    needs: tuple[Slug, ...] = ()
    uses: tuple[Slug, ...] = ()
    roles: Annotated[tuple[Role, ...], Field(min_length=1)] = TENDER
    optional: bool = False
    second_person: bool = False
    release: bool = False
    on_hose: bool = False
    nuts: Nuts | None = None


class Stud(FileModel):
    """One stud of the breastplate; `joint` where two straps meet, `flanged` where a heavy nut belongs."""

    number: StudNumber
    place: Name
    half: Literal["front", "rear", "top"]
    joint: bool = False
    flanged: bool = False
    long: bool = False


class Ring(FileModel):
    """The studs round the collar and how they are numbered."""

    numbering: Text
    studs: Annotated[tuple[Stud, ...], Field(min_length=1)]


class Hold(FileModel):
    """Something that bars entries until its conditions are met.

    Conditions, all of which must be met: `until` items or steps done, the test of piece `test_of` in
    date, one stamped number on the pieces in `same_stamp`, `fact` supplied by the rest of the station.
    Nobody passes an absolute hold; another the supervisor may release with a reason.
    """

    id: Slug
    title: Name
    absolute: bool
    bars: Annotated[tuple[Slug, ...], Field(min_length=1)]
    until: tuple[Slug, ...] = ()
    test_of: Slug | None = None
    same_stamp: tuple[Slug, ...] = ()
    fact: FactName | None = None
    basis: Text


class OutfitFile(FileModel):
    """The whole file."""

    format: Literal[1]
    name: Slug
    title: Name
    basis: Text
    notice: Text
    pieces: Annotated[tuple[Piece, ...], Field(min_length=1)]
    items: Annotated[tuple[Item, ...], Field(min_length=1)]
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]
    holds: tuple[Hold, ...] = ()
    ring: Ring | None = None
