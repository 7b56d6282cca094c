"""What a lane still needs until its dive is closed and its record signed, in words."""

from station.board.figures import LaneFigures
from station.board.law import all_gaps, entered
from station.board.state import Board
from station.events import GapExplained
from station.law.asked import Gap
from station.outfit import open_for_undress


def gaps_left(board: Board, one: LaneFigures) -> tuple[Gap, ...]:
    """Return what the rule files ask for, that is missing on the record and not explained in words."""
    said = {gap.key for gap in entered(one.lane, GapExplained)}
    return tuple(gap for gap in all_gaps(board, one.lane, one.dive) if gap.key not in said)


def close_out(board: Board, one: LaneFigures) -> tuple[str, ...]:
    """Return what is missing, one thing a line; nothing once every signature stands under the record.

    Before the diver is up only that is told: what is asked for depends on the dive as it was made.
    """
    lane = one.lane
    if one.phase in ("called off", "signed"):
        return ()
    if lane.mark("reached_surface") is None:
        return ("the end of the dive",)
    if lane.closed:
        signed = {signature.role for signature in lane.signatures}
        required = board.setup.station.signing.required
        return tuple(f"the signature of the {role}" for role in required if role not in signed)
    open_steps = open_for_undress(board.setup.outfit, lane.progress)
    gaps = dict.fromkeys(f"on the record: {gap.what}" for gap in gaps_left(board, one))
    return (*open_steps, *gaps, "the supervisor's closing")
