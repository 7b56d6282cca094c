"""Readings taken where the published rules are silent; a station file may set each of them."""

from typing import Annotated, Literal

from pydantic import Field

from station.dive.series import SeriesChoices

Gauge = Literal["fixed one-atmosphere reference", "zeroed at the site"]


class Choices(SeriesChoices):
    """The choices of a station. Each default is the safer reading; station choice, no published source.

    departure_reading_max_age_s: the ascent is reckoned from the last depth reading that is not older than
        this when the bottom is left; with none so fresh, from the depth of the dive.
    stop_left_early_grace_s: a stop left no more than this before its time is up is not called left early.
    planned_depth_holds: the planned depth stands in for the depth of the dive until the first reading, or
        is the least it can be for the whole dive.
    gauge: from where the depth gauges count at altitude: one fixed atmosphere reads shallow and is corrected.
    together_follow_deeper: divers who ascend together follow the deeper depth and the longer time of them.
    """

    departure_reading_max_age_s: Annotated[int, Field(ge=0, le=3600)] = 300
    stop_left_early_grace_s: Annotated[int, Field(ge=0, le=60)] = 5
    planned_depth_holds: Literal["until first reading", "whole dive"] = "until first reading"
    gauge: Gauge = "fixed one-atmosphere reference"
    together_follow_deeper: bool = True
