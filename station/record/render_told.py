"""A record's body as its print says it: times of day, with the date where it is not the dive's."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cached_property

from station.record.render_page import Body, Row


@dataclass(frozen=True)
class Told:
    """A body, and the words for what stands in it. Nothing in a body can stop it from being printed."""

    body: Body

    @cached_property
    def day(self) -> date | None:
        """The date of the dive."""
        table = self.body.document.get("dive")
        found = table.get("date") if isinstance(table, dict) else None
        return found if isinstance(found, date) and not isinstance(found, datetime) else None

    def text(self, table: str, key: str) -> str:
        """Return one value as text, a moment with its date where that is not the dive's."""
        found = self.body.document.get(table)
        return self.of(Row(found), key) if isinstance(found, dict) else "-"

    def of(self, row: Row, key: str = "at") -> str:
        """Return a value of a row in the same way."""
        found, words = row.values.get(key), row[key]
        if isinstance(found, datetime) and found.tzinfo and 1 < found.year < 9999:  # noqa: PLR2004
            on = found.astimezone(UTC).date()
            return words if on == self.day else f"{on} {words}"
        return words

    def rows(self, table: str, key: str) -> list[Row]:
        """Return the rows of a list."""
        return self.body.rows(table, key)

    def who(self, row: Row, key: str = "by") -> str:
        """Return the name of the person a row names."""
        return self.body.name(row[key]) if key in row else "console"

    def people(self, row: Row, key: str) -> str:
        """Return the names of the people a row lists."""
        found = row.values.get(key)
        listed = found if isinstance(found, list) else []
        return ", ".join(self.body.name(one) for one in listed if isinstance(one, str)) or "-"

    def cells(self, table: str, key: str, *keys: str) -> list[list[str]]:
        """Return the rows of a list as rows of cells; `by` comes out as a name."""
        return [
            [self.who(row, one) if one in {"by", "checked_by"} else self.of(row, one) for one in keys]
            for row in self.rows(table, key)
        ]
