"""Keys of these tests are locked as people's are."""

from collections.abc import Iterator

import pytest

from station.record import keys

LOCKED = keys._locked


@pytest.fixture(scope="module", autouse=True)
def _keys_locked_as_for_people() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(keys, "_locked", LOCKED)
        yield
