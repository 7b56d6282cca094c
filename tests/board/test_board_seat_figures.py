"""What the seats show beside the live figures: the dive as depth over time, what is missing to close."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from station.board.close_out import close_out, gaps_left
from station.board.profile import depth_line
from station.moments import clock_time

if TYPE_CHECKING:
    from tests.board.conftest import Bench

BenchAt = Callable[[str], "Bench"]


def test_the_depth_line_is_what_was_marked_and_read_in_order(bench_at: BenchAt) -> None:
    """A reading of 105 is corrected by 2: U.S. Navy Diving Manual Rev 4, page 9-16."""
    bench = bench_at("08:34:30")
    points = depth_line(bench.board, bench.board.lanes[1])
    told = [(clock_time(point.at), point.depth_fsw) for point in points]
    assert told[:3] == [("07:30:00", 0.0), ("07:31:00", 63.0), ("07:32:30", 107.0)]
    assert ("08:06:34", 20.0) in told
    assert told[-1] == ("08:34:20", 0.0)
    assert [point.at for point in points] == sorted(point.at for point in points)


def test_there_is_no_depth_line_before_the_diver_leaves_the_surface(bench_at: BenchAt) -> None:
    bench = bench_at("07:29:00")
    assert depth_line(bench.board, bench.board.lanes[1]) == ()


def test_what_is_missing_to_close_ends_with_the_supervisors_closing(bench_at: BenchAt) -> None:
    below = bench_at("07:40:00")
    assert close_out(below.board, below.lane()) == ("the end of the dive",)
    up = bench_at("08:34:30")
    missing = close_out(up.board, up.lane())
    assert missing[0].startswith("Faceplate open")
    assert missing[-1] == "the supervisor's closing"
    gaps = {f"on the record: {gap.what}" for gap in gaps_left(up.board, up.lane())}
    assert {line for line in missing if line.startswith("on the record")} == gaps
