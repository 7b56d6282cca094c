"""Readings taken where the published rules are silent; a station file may set each of them."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from station.dive.series import SeriesChoices

Gauge = Literal["fixed one-atmosphere reference", "zeroed at the site"]
PlaceUnknown = Literal["by the departure depth", "deeper column"]
SeveralPlaces = Literal["deeper if any was", "where it came to count"]
NoStopDelay = Literal["bottom time", "by its place"]
TimeSpent = Literal["counts", "does not count"]
StayingOn = Literal["no delay", "delay"]
StopAfterDelay = Literal["from arrival", "less the minute let pass"]
LookUpAgain = Literal["no stop gets shorter", "stops to come as printed"]


class DelayChoices(SeriesChoices):
    """Readings of the rules on delays; the columns are 'at 50 fsw or deeper' and 'shallower'.

    delay_place_unknown: a delay before the first stop of which nobody knows where it happened counts in the
        column of the departure depth, or always in the deeper one.
    delay_in_several_places: held on both sides of 50 fsw before the first stop, a delay counts in the deeper
        column, or in that of the place where it outgrew what is let pass.
    no_stop_delay: on a dive without a planned stop a delay is always added to the bottom time, or only one in
        the deeper column; a shallower one is then added to the first stop of a later schedule, if any comes.
    overrun_time_spent: under a schedule looked up again for a stop overrun, the time already spent at that
        stop counts, or the new time there is served in full after the minutes of the delay.
    stay_for_new_schedule: the time that such a schedule asks for at that stop is no delay, or delay as well.
    stop_after_delay: the stop after a delay between stops runs from arrival there, or from earlier by the
        planned travel and the minute let pass, which stay inside it as they do after a shorter delay.
    look_up_again: no stop still to come gets shorter when the schedule is looked up again at a stop or
        between stops, or each is as the new schedule prints it; the stop at hand never gets shorter.
    """

    delay_place_unknown: PlaceUnknown = "by the departure depth"
    delay_in_several_places: SeveralPlaces = "deeper if any was"
    no_stop_delay: NoStopDelay = "bottom time"
    overrun_time_spent: TimeSpent = "counts"
    stay_for_new_schedule: StayingOn = "no delay"
    stop_after_delay: StopAfterDelay = "from arrival"
    look_up_again: LookUpAgain = "no stop gets shorter"

    @model_validator(mode="after")
    def _stop_ends(self) -> Self:
        """Refuse two settings that together would never let a diver leave a stop that was overrun."""
        if self.overrun_time_spent == "does not count" and self.stay_for_new_schedule == "delay":
            raise ValueError(
                'stay_for_new_schedule must be "no delay" where overrun_time_spent is "does not count": '
                "together they would push the end of an overrun stop back for as long as it is waited for"
            )
        return self


class Choices(DelayChoices):
    """The choices of a station, none with a published source.

    The defaults are those of the shipped station file; where another reading asks for more, a station may
    take that one.

    departure_reading_max_age_s: the ascent is reckoned from the last depth reading that is not older than
        this when the bottom is left; with none so fresh, from the depth of the dive.
    stop_left_early_grace_s: a stop left no more than this before its time is up is not called left early.
    break_early_s: taken off oxygen in the water no more than this before an air break is due, a diver is on
        that break.
    planned_depth_holds: the planned depth stands in for the depth of the dive until the first reading, or
        is the least it can be for the whole dive.
    gauge: from where the depth gauges count at altitude: one fixed atmosphere reads shallow and is corrected.
    together_follow_deeper: divers who ascend together follow the deeper depth and the longer time of them.
    """

    departure_reading_max_age_s: Annotated[int, Field(ge=0, le=3600)] = 300
    stop_left_early_grace_s: Annotated[int, Field(ge=0, le=60)] = 5
    break_early_s: Annotated[int, Field(ge=0, le=120)] = 60
    planned_depth_holds: Literal["until first reading", "whole dive"] = "until first reading"
    gauge: Gauge = "fixed one-atmosphere reference"
    together_follow_deeper: bool = True


USUAL = Choices()
