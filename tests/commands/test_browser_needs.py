"""What the browser's command asks for, it asks for before it begins an operation or promises a page."""

import socket
from pathlib import Path

import pytest

from station.cli import main
from station.commands import browser


def test_a_missing_package_is_said_before_anything_is_begun(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(browser, "find_spec", lambda _name: None)
    assert main(["browser", "--folder", str(tmp_path)]) == 9
    told = capsys.readouterr()
    assert not told.out
    assert "pip install '.[browser]'" in told.err
    assert not list(tmp_path.rglob("*.journal"))


def test_a_port_that_is_taken_is_said_before_anything_is_begun(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.create_server((browser.HOST, 0)) as taken:
        port = taken.getsockname()[1]
        assert main(["browser", f"--port={port}", "--folder", str(tmp_path)]) == 2
    told = capsys.readouterr()
    assert not told.out
    assert f"port {port} of 127.0.0.1 cannot be used" in told.err
    assert not list(tmp_path.rglob("*.journal"))
