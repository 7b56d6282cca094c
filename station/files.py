"""Reading a TOML file against its declared model: every problem with file, key and reason, all at once."""

import difflib
import hashlib
import json
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from station.errors import FileError

Problem = tuple[str, str]

TOO_LONG = "a number has too many digits"
TOO_DEEP = "tables or arrays are nested too deeply"


class FileModel(BaseModel):
    """Base of everything read from a file: frozen, unknown keys refused, no silent conversions."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


M = TypeVar("M", bound=FileModel)


def read_bytes(path: Path) -> bytes:
    """Return the file's bytes; FileError when it is missing, a folder or not readable."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise FileError(str(path), [("", "no such file")]) from None
    except OSError as error:
        raise FileError(str(path), [("", f"cannot be read: {error.strerror}")]) from None
    except ValueError:
        raise FileError(repr(str(path)), [("", "cannot be read: no file can have this name")]) from None


def digest(data: bytes) -> str:
    """Return the SHA-256 of the bytes, in hex, as records and journals name a file."""
    return hashlib.sha256(data).hexdigest()


def parse_toml(data: bytes, name: str) -> dict[str, Any]:
    """Return the document; FileError when not UTF-8 or not TOML. `name` is shown as the file."""
    try:
        return tomllib.loads(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        raise FileError(name, [("", f"not UTF-8 text (byte {error.start + 1})")]) from None
    except tomllib.TOMLDecodeError as error:
        raise FileError(name, [("", f"not valid TOML: {error}")]) from None
    except ValueError:
        raise FileError(name, [("", f"not valid TOML: {TOO_LONG}")]) from None
    except RecursionError:
        raise FileError(name, [("", f"not valid TOML: {TOO_DEEP}")]) from None


def load(data: bytes, name: str, model: type[M]) -> M:
    """Return the checked model of a file's bytes; FileError lists every problem with its key."""
    document = parse_toml(data, name)
    try:
        # By way of JSON: strict, yet a TOML array may fill a tuple and a TOML date a date.
        return model.model_validate_json(json.dumps(document, default=str))
    except ValidationError as error:
        raise FileError(name, list(_problems(error, model))) from None
    except ValueError:
        raise FileError(name, [("", TOO_LONG)]) from None
    except RecursionError:
        raise FileError(name, [("", TOO_DEEP)]) from None


def _problems(error: ValidationError, model: type[BaseModel]) -> Iterator[Problem]:
    items = error.errors()
    for item in items:
        key = _key(item["loc"])
        if item["type"] == "too_short" and any(_inside(other["loc"], item["loc"]) for other in items):
            continue  # what is wrong inside a list is told; such entries are not missing
        if item["type"] == "extra_forbidden":
            yield (
                key,
                "unknown key" + _suggestion(str(item["loc"][-1]), _field_names(model, item["loc"][:-1])),
            )
        elif item["type"] == "missing":
            yield key, "missing; this key is required"
        elif item["type"] == "json_invalid":
            yield "", TOO_DEEP
        elif item["type"] == "value_error":
            yield key, str(item["ctx"]["error"])
        else:
            yield key, f"{item['msg'][0].lower()}{item['msg'][1:]} (found {_shown(item['input'])})"


def _inside(place: Sequence[int | str], around: Sequence[int | str]) -> bool:
    return len(place) > len(around) and place[: len(around)] == around


def _key(parts: Sequence[int | str]) -> str:
    """Return a TOML-like key: stops[3].minutes, counting from 1 as people count entries."""
    text = ""
    for part in parts:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            shown = part if part.isprintable() else json.dumps(part)
            text += f".{shown}" if text else shown
    return text


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."  # noqa: PLR2004 - a line on a screen


def _suggestion(word: str, known: Sequence[str]) -> str:
    near = difflib.get_close_matches(word, known, n=1)
    return (
        f"; did you mean '{near[0]}'?"
        if near
        else f"; known keys: {', '.join(sorted(known))}"
        if known
        else ""
    )


def _field_names(model: type[BaseModel], parts: Sequence[int | str]) -> list[str]:
    """Return the keys allowed at a place inside the model, as far as its annotations tell."""
    here: list[type[BaseModel]] = [model]
    for part in parts:
        if isinstance(part, int):
            continue
        found: list[type[BaseModel]] = []
        for one in here:
            field = one.model_fields.get(part)
            found += list(_models_in(field.annotation)) if field else [one]
        here = found
    return sorted({name for one in here for name in one.model_fields})


def _models_in(annotation: object) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
        return
    for argument in getattr(annotation, "__args__", ()):
        yield from _models_in(argument)
