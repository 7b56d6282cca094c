"""Incidents, notes, alarms and corrections of a record, as text."""

from collections.abc import Iterator

from station.record.render_page import Body, Row, wrapped

NOT_NOTICED = "not acknowledged"


def remarks(body: Body) -> Iterator[str]:
    """Yield incidents and notes."""
    for row in body.rows("remarks", "incidents"):
        yield from wrapped(f"INCIDENT {row['at']}: {row['text']} ({body.name(row['by'])})", indent=3)
    for row in body.rows("remarks", "notes"):
        yield from wrapped(f"{row['at']}  {row['text']} ({body.name(row['by'])})", indent=10)


def alarms(body: Body) -> Iterator[str]:
    """Yield every alarm that was raised, who acknowledged it when, and when it was cleared."""
    for row in body.rows("alarms", "raised"):
        who = f"acknowledged {row['acknowledged']} by {body.name(row['by'])}" if "by" in row else NOT_NOTICED
        end = f"cleared {row['cleared']}" if "cleared" in row else "stood at the closing"
        yield from wrapped(f"{row['at']}  {alarm_words(row)}; {who}; {end}", indent=10)


def alarm_words(row: Row) -> str:
    """Return an alarm's priority, whose it is, and its words."""
    return f"{row['priority'].upper()} ({row['of']}) {row['text']}"


def corrections(body: Body) -> Iterator[str]:
    """Yield every field amended and every entry withdrawn."""
    for row in body.rows("corrections", "amended"):
        yield from wrapped(
            f"{row['at']}  entry {row['entry']} ({row['what']}): {row['field']} was {row['was']}, "
            f"is {row['is']}; {row['reason']} ({body.name(row['by'])})",
            indent=10,
        )
    for row in body.rows("corrections", "withdrawn"):
        yield from wrapped(
            f"{row['at']}  entry {row['entry']} ({row['what']}) withdrawn: {row['reason']} "
            f"({body.name(row['by'])})",
            indent=10,
        )
