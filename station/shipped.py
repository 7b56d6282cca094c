"""Where the shipped files stand: beside the package in a checkout, inside it in a wheel."""

from pathlib import Path

_HERE = Path(__file__).parent


def shipped(kind: str) -> Path:
    """Return the shipped folder `configs` or `demo`."""
    inside = _HERE / "shipped" / kind
    return inside if inside.is_dir() else _HERE.parent / kind
