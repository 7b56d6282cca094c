"""The plan of the ascent at a moment, from the facts of the dive alone."""

from datetime import datetime

from station.dive.altitude import correction
from station.dive.choices import Choices
from station.dive.delays import delay_rules
from station.dive.depth import departure_depth, depth_of_dive
from station.dive.facts import DiveFacts
from station.dive.known import Known, known_over_time
from station.dive.legs import go_up
from station.dive.marks import places_of, progress_of, times_of
from station.dive.way import Course, Way, begin
from station.tables.model import DelayRules, Tables


def plan_now(tables: Tables, facts: DiveFacts, now: datetime, choices: Choices) -> tuple[Course, Way]:
    """Return the plan of the ascent as it stands: as planned, or gone through by its marks so far."""
    times = times_of(facts, now)
    depth = depth_of_dive(tables, facts, choices)
    known = known_over_time(tables, facts, choices)
    at_leaving = [one for one in known if one.at <= times.leaving]
    course = Course(
        tables=tables,
        choices=choices,
        rules=_delay_rules_at(tables, facts, depth.depth),
        facts=facts,
        times=times,
        progress=progress_of(facts, times),
        places=places_of(facts, times),
        departure=departure_depth(tables, facts, times.leaving, depth, choices),
        later=tuple((times.ms(one.at), one) for one in known[len(at_leaving) :]),
        minutes=facts.planned_min if times.left_surface is None else times.bottom_min,
    )
    on_deck = Known(times.now, depth.depth, facts.lengthened, "planned")
    way = begin(course, at_leaving[-1] if at_leaving else on_deck)
    return course, go_up(course, way) if times.left_bottom is not None else way


def _delay_rules_at(tables: Tables, facts: DiveFacts, depth: float) -> DelayRules:
    """Return the rules of delays at the altitude of the site: 50 fsw there is where the 50 fsw stop lies."""
    rules, site = delay_rules(tables), correction(tables, facts.site_ft, depth)
    if not site.applies:
        return rules
    return rules.model_copy(update={"deeper_from": site.stop_depth(rules.deeper_from)})
