"""The pictures in the README are what the console shows now."""

from pathlib import Path

import pytest
from make_pictures import PICTURES, README, Picture, drawn, with_picture


@pytest.mark.parametrize("picture", PICTURES, ids=lambda picture: picture.seat)
def test_a_picture_in_the_readme_is_what_the_console_shows(picture: Picture) -> None:
    text = README.read_text(encoding="utf-8")
    assert text == with_picture(text, picture.seat, drawn(picture)), "run tests/pictures/make_pictures.py"


def test_a_text_without_a_place_for_a_picture_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="no place for the picture of the tender"):
        with_picture(str(tmp_path), "tender", [])
