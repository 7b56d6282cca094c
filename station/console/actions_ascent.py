"""The actions around the ascent: a diver held, the chamber, gas, company, cards, earlier dives, on paper."""

from station.console.action import AFTER, BELOW, MARKS, SCREEN, STATION, Action
from station.console.flows import ascent, before, card, screen

ASCENT_ACTIONS: tuple[Action, ...] = (
    Action(
        "place",
        MARKS,
        "held",
        "the diver is held on the way up, or moving again: at which depth",
        ("minus", "underscore"),
        ascent.place,
        frozenset({"ascent"}),
    ),
    Action(
        "chamber",
        MARKS,
        "chamber",
        "a mark of surface decompression; the expected one stands first",
        ("8", "left_parenthesis"),
        ascent.chamber,
    ),
    Action(
        "gas",
        MARKS,
        "gas",
        "supervisor: air, oxygen in the water, or oxygen in the chamber on the way up",
        ("slash", "vertical_line"),
        ascent.gas,
    ),
    Action(
        "company",
        MARKS,
        "together",
        "supervisor: divers ascend together, or apart again",
        ("apostrophe", "quotation_mark"),
        ascent.company,
    ),
    Action(
        "card",
        MARKS,
        "cards",
        "emergency cards: first steps, clocks, what was decided",
        ("4", "dollar_sign"),
        card.card,
        BELOW | AFTER,
    ),
    Action(
        "earlier",
        STATION,
        "earlier",
        "the diver's earlier dives, how they count, arrival at altitude",
        ("semicolon", "colon"),
        before.earlier,
    ),
    Action(
        "call.off",
        STATION,
        "call off",
        "supervisor: call a planned dive off before the diver leaves the surface",
        ("backslash", "right_parenthesis"),
        ascent.call_off,
    ),
    Action(
        "paper",
        SCREEN,
        "what if",
        "another depth, time or gas on paper, beside the live plan; enters nothing",
        ("7", "ctrl+x"),
        ascent.paper,
    ),
    Action(
        "view.trail",
        SCREEN,
        "trail",
        "every rule applied: source, before and after; figures in full",
        ("5", "percent_sign"),
        screen.view("trail"),
    ),
    Action(
        "view.ladder",
        SCREEN,
        "ladder",
        "leaving times: ascent, surface, class, air needed and over, stops",
        ("6", "circumflex_accent"),
        screen.view("ladder"),
    ),
)
