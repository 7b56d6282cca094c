"""A key for what is kept between ticks: an object, told apart by which it is and not by what it holds.

Boards, lanes, setups and what is worked out from them are never changed, only replaced: the very same one
says the very same, and while it is kept as a key no new object can come to stand in its place.
"""

from typing import Generic, TypeVar

T = TypeVar("T")


class Is(Generic[T]):
    """One object, equal to another only if both are the very same."""

    __slots__ = ("value",)

    def __init__(self, value: T) -> None:
        self.value = value

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Is) and self.value is other.value

    def __hash__(self) -> int:
        return id(self.value)
