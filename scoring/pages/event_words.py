"""What pages say of stages, draws, entrants and the entries of a competition."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.translation import gettext, ngettext

from scoring.models import CompetitionEntry
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


# --- the ledger in words ---------------------------------------------------------


def entry_words(row: CompetitionEntry, named: Named, stages: Mapping[int, str]) -> str:
    """Return an entry as a sentence; kinds of other parts are told by their name."""
    data = row.data
    who = named(data["player"]) if isinstance(data.get("player"), int) else ""
    stage = stages.get(data.get("stage", 0), "")
    if row.kind == "enter":
        return _entered(data, named)
    if row.kind == "pair":
        first, second = (named(pk) for pk in data["players"])
        return gettext("Match added to %(stage)s: %(first)s and %(second)s.") % {
            "stage": stage,
            "first": first,
            "second": second,
        }
    if row.kind == "draw":
        return _drawn(data, stage)
    if row.kind == "unlock":
        return ngettext(
            "%(stage)s: unlocked for a corrected result; %(count)s match that had begun is set aside.",
            "%(stage)s: unlocked for a corrected result; %(count)s matches that had begun are set aside.",
            len(data["matches"]),
        ) % {"stage": stage, "count": len(data["matches"])}
    told = {"who": who, "stage": stage, "by": named(data["by"]) if isinstance(data.get("by"), int) else ""}
    sentence = _sentences().get(row.kind)
    return sentence % told if sentence else row.kind


def _sentences() -> dict[str, str]:
    return {
        "present": gettext("%(who)s is present."),
        "absent": gettext("%(who)s is not present after all."),
        "withdraw": gettext("%(who)s withdrew."),
        "no-show": gettext("%(who)s did not come."),
        "disqualify": gettext("%(who)s was disqualified."),
        "reinstate": gettext("%(who)s is back."),
        "seeds": gettext("The order of strength was written."),
        "stage": gettext("Stage made: %(stage)s."),
        "undraw": gettext("%(stage)s: the draw was taken back."),
        "replace": gettext("%(stage)s: %(by)s takes the place of %(who)s."),
        "protest": gettext("A protest was entered."),
        "decide": gettext("A protest was decided."),
        "lot": gettext("A lot was drawn."),
        "deduct": gettext("Points were deducted."),
        "publish": gettext("Published."),
        "close": gettext("The competition was closed."),
        "reopen": gettext("The competition was opened again."),
    }


def _entered(data: Mapping[str, Any], named: Named) -> str:
    names = ", ".join(named(pk) for pk in data["players"])
    if data.get("reserve"):
        return gettext("On the list of reserves: %(names)s.") % {"names": names}
    return gettext("Entered: %(names)s.") % {"names": names}


def _drawn(data: Mapping[str, Any], stage: str) -> str:
    told = {"stage": stage, "count": len(data["order"]), "seed": data.get("seed", "")}
    if told["seed"]:
        return gettext("%(stage)s: %(count)s players drawn with the seed %(seed)s.") % told
    return gettext("%(stage)s: %(count)s players drawn by their order.") % told
