"""What pages say of stages, draws, entrants and the entries of a competition."""

from __future__ import annotations

from collections.abc import Callable

from django.utils.translation import gettext

from scoring.rules.brackets import Feed
from scoring.rules.groups import After
from scoring.stages import Fixture

from .words import ended_words

Named = Callable[[int], str]


def status_word(status: str) -> str:
    """Return how an entrant stands."""
    return {
        "entered": gettext("entered"),
        "present": gettext("present"),
        "reserve": gettext("reserve"),
        "withdrawn": gettext("withdrawn"),
        "no-show": gettext("did not come"),
        "disqualified": gettext("disqualified"),
    }[status]


def kind_word(kind: str) -> str:
    """Return the kind of a stage."""
    return {
        "round-robin": gettext("round robin"),
        "groups": gettext("groups"),
        "knockout": gettext("knock-out"),
        "series": gettext("free series"),
        "league": gettext("league of teams"),
    }[kind]


def way_words(way: str, kind: str) -> str:
    """Return how an order was drawn."""
    if way == "lots":
        return gettext("by lots: everybody was drawn")
    if way == "pots":
        if kind == "knockout":
            return gettext("seeds 1 and 2 stand, 3-4, 5-8, 9-16 and so on were drawn among themselves")
        return gettext("by pots: each pot was drawn, and sends one to each group")
    return gettext("by ranking, as the order of strength stands; nothing was drawn")


def round_word(number: int, last: int, third: bool = False) -> str:
    """Return the name of a round of a knock-out."""
    if third:
        return gettext("Third place")
    left = last - number
    named = {0: gettext("Final"), 1: gettext("Semi-finals"), 2: gettext("Quarter-finals")}
    return named.get(left) or gettext("Round of %(players)s") % {"players": 2 ** (left + 1)}


def side_words(fixture: Fixture, place: int, named: Named) -> str:
    """Return who stands on one side of a fixture, or where that one will come from."""
    side, feed = fixture.sides[place], fixture.feeds[place]
    if side is not None:
        return named(side)
    if isinstance(feed, Feed):
        tie, winner = feed.match, feed.winner
    elif isinstance(feed, After):
        tie, winner = feed.match + 1, feed.winner
    else:
        return gettext("nobody") if fixture.state in ("bye", "empty") else gettext("not known yet")
    if winner:
        return gettext("winner of match %(number)s") % {"number": tie}
    return gettext("loser of match %(number)s") % {"number": tie}


def fixture_words(fixture: Fixture) -> str:
    """Return how a fixture stands, in a few words."""
    if fixture.extra:
        return gettext("drawn: extra innings are to be played")
    if fixture.match is not None and fixture.state == "confirmed":
        if fixture.drawn:
            return gettext("drawn")
        return ended_words(fixture.match.projection.state.get("ended_by")) or gettext("played")
    return {
        "open": gettext("to come"),
        "ready": gettext("to come"),
        "planned": gettext("to be played"),
        "playing": gettext("under way"),
        "suspended": gettext("suspended"),
        "over": gettext("over, to be confirmed"),
        "bye": gettext("bye"),
        "empty": gettext("nobody"),
        "walked-over": gettext("goes on without a match"),
    }.get(fixture.state, "")


def change_word(what: str) -> str:
    """Return what becomes of a match when a player leaves."""
    return {
        "walkover": gettext("walkover for the opponent"),
        "disqualified": gettext("won by the opponent"),
        "given-up": gettext("given up, won by the opponent"),
        "annulled": gettext("annulled, it counts for nobody"),
    }[what]
