"""What every test shares: no settings of the person at the keyboard, no silent skips where none may be."""

import os

import pytest

for _name in ("STATION_FOLDER", "NO_COLOR", "SSH_AUTH_SOCK", "STATION_TRACEBACK"):
    os.environ.pop(_name, None)
os.environ["TEXTUAL_ANIMATIONS"] = "none"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item):  # type: ignore[no-untyped-def]  # noqa: ANN201
    """With STATION_NO_SKIPS set, a skipped test is a failed one: nothing may be left untried there."""
    report = yield
    if report.skipped and os.environ.get("STATION_NO_SKIPS") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped where no test may be: {report.longrepr}"
    return report
