"""`station drill`: play a scripted dive to its signed record, in the console or as fast as it goes."""

import sys
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from station import __version__
from station.clock import Clock, DrillClock, HandClock
from station.drill.account import opening_lines, played_lines
from station.drill.ending import Written, hold_against, summary_lines, write_and_sign
from station.drill.player import Player
from station.drill.scenario import Scenario, load_scenario
from station.errors import UsageError
from station.events import FileUse
from station.files import digest
from station.folder import Folder, choose_folder
from station.moments import clock_time
from station.operation import begin
from station.setup import Setup, load_setup
from station.shipped import shipped
from station.watch import Watch

PROGRAM = f"station {__version__}"
FASTEST = 120
"""On a screen an entry may come a tick late by the drill's clock; faster, and a reading would age by it."""


def run(options: Namespace) -> int:
    """Play a scenario; DrillMismatch when it does not end as it says it must."""
    if not 0 < options.speed <= FASTEST:  # not a number is neither
        raise UsageError(
            f"--speed is how many drill seconds pass in a second: above 0 and up to {FASTEST}, such as 30; "
            "--no-screen plays as fast as it goes"
        )
    scenario = load_scenario(scenario_path(options.scenario or "ossary-dam/gate-survey.toml"))
    setup = _with_scenario(load_setup(scenario.station_path), scenario)
    folder = choose_folder(options.folder).drill(scenario.file.title, datetime.now(UTC)).prepare()
    on_screen = not options.no_screen and sys.stdin.isatty() and sys.stdout.isatty()
    if on_screen:
        return _on_screen(scenario, setup, folder, options.speed)
    return _account(scenario, setup, folder)


def scenario_path(named: str) -> Path:
    """Return the file of that name, else the shipped one by its name in the README, or by the end of it."""
    demo, path = shipped("demo"), Path(named)
    ways = [path, demo / path, demo / path.with_suffix(".toml"), demo.parent / path]
    if path.name == named:
        ways += sorted(demo.glob(f"*/{path.stem}.toml"))
    return next((way for way in ways if way.is_file()), path)


def _with_scenario(setup: Setup, scenario: Scenario) -> Setup:
    """Return the setup with the scenario among its files, so that the journal keeps it too."""
    use = FileUse(role="scenario", name=scenario.path.name, sha256=digest(scenario.data))
    return replace(setup, sources=(*setup.sources, (use, scenario.data)))


def _begin(scenario: Scenario, setup: Setup, folder: Folder, clock: Clock) -> Watch:
    title = scenario.file.title
    journal = folder.new_journal(title, scenario.file.start)
    return begin(journal, setup, clock, title=title, program=PROGRAM, drill=True)


def _account(scenario: Scenario, setup: Setup, folder: Folder) -> int:
    """Play as fast as it goes, printing what happens."""
    clock = HandClock(scenario.file.start)
    _print(opening_lines(scenario))
    watch = _begin(scenario, setup, folder, clock)
    try:
        player = Player(watch, scenario, notes_alarms=True)
        number = 0
        while not player.finished:
            played = player.play_next(clock)
            _print(list(played_lines(watch.board, played, first=played.due.number != number)))
            number = played.due.number
        print("\nThe script has been played out.\n")
        return _ended(watch, scenario, folder, write_and_sign(watch, scenario, folder))
    finally:
        watch.journal.close()


def _on_screen(scenario: Scenario, setup: Setup, folder: Folder, speed: float) -> int:
    """Play in the console, where people may pause, step and take over."""
    from station.console.drill import DrillControl  # noqa: PLC0415 - as above
    from station.console.run import run_console  # noqa: PLC0415 - loads the screen only where there is one

    clock = DrillClock(scenario.file.start, 0.0)
    watch = _begin(scenario, setup, folder, clock)
    try:
        player = Player(watch, scenario)

        def finish() -> Sequence[str]:
            return summary_lines(watch, write_and_sign(watch, scenario, folder), folder)

        control = DrillControl(player, clock, finish, waits_with=speed)
        code = run_console(watch, folder, drill=control)
        if code:
            return code
        if control.stopped is not None:
            raise control.stopped
        if not player.finished:
            return _left(watch, player, folder)
        return _ended(watch, scenario, folder, write_and_sign(watch, scenario, folder))
    finally:
        watch.journal.close()


def _ended(watch: Watch, scenario: Scenario, folder: Folder, written: list[Written]) -> int:
    _print(summary_lines(watch, written, folder))
    hold_against(watch, scenario, written)
    print("\nThe drill ended as its scenario says it must.")
    return 0


def _left(watch: Watch, player: Player, folder: Folder) -> int:
    """Say where a drill was left that was not played to the end of its script."""
    due = player.due
    open_lanes = [str(lane.number) for lane in watch.board.lanes.values() if not lane.closed]
    print(f"The drill was left before its script was played out; {len(watch.entries)} entries were made.")
    if due is not None:
        print(f"Next in the script: line {due.number}, {clock_time(due.moment)}.")
    if open_lanes:
        print(f"Not closed, so without a record: lane {', '.join(open_lanes)}.")
    print(f"Its journal and records stand in {folder.path}")
    return 0


def _print(lines: Sequence[str]) -> None:
    print("\n".join(lines))
