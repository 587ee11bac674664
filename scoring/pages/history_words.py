"""The ledger of a competition in words: one sentence an entry."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.utils.translation import gettext, ngettext

from scoring.access import Actor
from scoring.models import Competition, CompetitionEntry, Encounter, Match, PlayTable, Stage, Team

from .event_forms import Names


class Told:
    """What the entries of one page name, fetched once: players, matches, tables, stages, teams."""

    def __init__(self, competition: Competition, actor: Actor, rows: Collection[CompetitionEntry]) -> None:
        ids: dict[str, set[int]] = {}
        players: set[int] = set()
        for row in rows:
            for name in ("match", "table", "team", "encounter", "to"):
                if isinstance(row.data.get(name), int):
                    ids.setdefault(name, set()).add(row.data[name])
            players |= {pk for pk in _players_in(row.data) if isinstance(pk, int)}
        matches = Match.objects.filter(pk__in=ids.get("match", ()), competition=competition)
        pairs = {
            pk: (first, second) for pk, first, second in matches.values_list("pk", "entrant_a", "entrant_b")
        }
        meetings = Encounter.objects.filter(pk__in=ids.get("encounter", ())).select_related("home", "away")
        self.names = Names(actor, players.union(*pairs.values()))
        self.matches = {
            pk: gettext("%(first)s and %(second)s") % {"first": self.names(one), "second": self.names(other)}
            for pk, (one, other) in pairs.items()
        }
        self.tables = dict(PlayTable.objects.filter(pk__in=ids.get("table", ())).values_list("pk", "name"))
        self.stages = dict(Stage.objects.filter(competition=competition).values_list("pk", "name"))
        self.teams = dict(Team.objects.filter(competition=competition).values_list("pk", "name"))
        self.meetings = {
            one.pk: gettext("%(first)s and %(second)s") % {"first": one.home.name, "second": one.away.name}
            for one in meetings
        }

    def sentence(self, row: CompetitionEntry) -> str:
        """Return what an entry says."""
        own = {
            "enter": self._entered,
            "pair": self._paired,
            "draw": self._drawn,
            "unlock": self._unlocked,
        }.get(row.kind)
        if own is not None:
            return own(row.data)
        sentence = _sentences().get(row.kind)
        return sentence % self._named(row.data) if sentence else row.kind

    def _named(self, data: dict[str, Any]) -> dict[str, str]:
        gone = gettext("a match that is no longer planned")
        player, by = data.get("player"), data.get("by")
        team = self.teams.get(data.get("team", 0), "")
        return {
            "who": self.names(player) if isinstance(player, int) else team,
            "by": self.names(by) if isinstance(by, int) else "",
            "stage": self.stages.get(data.get("stage", 0), ""),
            "match": self.matches.get(data.get("match", 0), gone),
            "table": self.tables.get(data.get("table", 0), gettext("another table")),
            "team": team,
            "meeting": self.meetings.get(data.get("encounter", 0), ""),
            "to": self.teams.get(data.get("to", 0), gettext("neither")),
        }

    def _entered(self, data: dict[str, Any]) -> str:
        names = ", ".join(self.names(pk) for pk in data["players"])
        if data.get("reserve"):
            return gettext("On the list of reserves: %(names)s.") % {"names": names}
        return gettext("Entered: %(names)s.") % {"names": names}

    def _paired(self, data: dict[str, Any]) -> str:
        first, second = (self.names(pk) for pk in data["players"])
        told = {"stage": self.stages.get(data["stage"], ""), "first": first, "second": second}
        return gettext("Match added to %(stage)s: %(first)s and %(second)s.") % told

    def _drawn(self, data: dict[str, Any]) -> str:
        told = {
            "stage": self.stages.get(data["stage"], ""),
            "count": len(data["order"]),
            "seed": data.get("seed", ""),
        }
        if told["seed"]:
            return gettext("%(stage)s: %(count)s players drawn with the seed %(seed)s.") % told
        return gettext("%(stage)s: %(count)s players drawn by their order.") % told

    def _unlocked(self, data: dict[str, Any]) -> str:
        count = len(data["matches"])
        return ngettext(
            "%(stage)s: unlocked for a corrected result; %(count)s match that had begun is set aside.",
            "%(stage)s: unlocked for a corrected result; %(count)s matches that had begun are set aside.",
            count,
        ) % {"stage": self.stages.get(data["stage"], ""), "count": count}


def _players_in(data: dict[str, Any]) -> list[Any]:
    several = data.get("players")
    listed = several if isinstance(several, list) else []
    return [*listed, data.get("player"), data.get("by")]


def _sentences() -> dict[str, str]:
    return _of_entrants() | _of_the_day() | _of_standings() | _of_seasons()


def _of_entrants() -> dict[str, str]:
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
    }


def _of_the_day() -> dict[str, str]:
    return {
        "day-open": gettext("The day began."),
        "day-end": gettext("The day ended."),
        "tables-in-use": gettext("The tables in use were chosen."),
        "table-out": gettext("%(table)s is out of order."),
        "table-back": gettext("%(table)s is back in use."),
        "referees": gettext("The referees of the day were named."),
        "call": gettext("Called to %(table)s: %(match)s."),
        "take-back": gettext("The call was taken back: %(match)s."),
        "move": gettext("Moved to %(table)s: %(match)s."),
        "assign": gettext("The referee was named: %(match)s."),
        "hold": gettext("Held back: %(match)s."),
        "release": gettext("No longer held back: %(match)s."),
        "forward": gettext("To be played next: %(match)s."),
        "not-before": gettext("Not before a set time: %(match)s."),
    }


def _of_standings() -> dict[str, str]:
    return {
        "lot": gettext("A lot was drawn between those who are tied."),
        "deduct": gettext("Points were deducted: %(who)s."),
        "give-back": gettext("A deduction was taken back."),
        "publish": gettext("What everybody sees was chosen."),
        "unpublish": gettext("The publication was taken back."),
        "notice": gettext("The notice to visitors was changed."),
        "close": gettext("The competition was closed."),
        "reopen": gettext("The competition was opened again."),
    }


def _of_seasons() -> dict[str, str]:
    return {
        "league": gettext("The rules of the league were written."),
        "team": gettext("Team entered: %(team)s."),
        "captain": gettext("%(team)s: the captain was named."),
        "squad": gettext("%(team)s: %(who)s is in the squad."),
        "squad-leave": gettext("%(team)s: %(who)s left the squad."),
        "team-withdraw": gettext("%(team)s withdrew from the season."),
        "team-reinstate": gettext("%(team)s was brought back."),
        "season": gettext("The encounters of the season were drawn."),
        "season-settle": gettext("Promotion and relegation were settled."),
        "season-unsettle": gettext("Promotion and relegation are open again."),
        "line-up": gettext("A line-up is in: %(meeting)s."),
        "line-up-ask": gettext("Organisers were asked to look at a line-up: %(meeting)s."),
        "line-up-look": gettext("A line-up was looked at: %(meeting)s."),
        "line-up-change": gettext("%(who)s came in on a board: %(meeting)s."),
        "reveal": gettext("Both line-ups were revealed: %(meeting)s."),
        "postpone": gettext("A postponement was asked for: %(meeting)s."),
        "postpone-agree": gettext("The postponement was agreed to: %(meeting)s."),
        "postpone-decline": gettext("The postponement was declined: %(meeting)s."),
        "sheet": gettext("The encounter sheet was entered: %(meeting)s."),
        "boards-confirm": gettext("Boards were confirmed: %(meeting)s."),
        "board-dispute": gettext("A board is disputed: %(meeting)s."),
        "board-settle": gettext("A disputed board was settled: %(meeting)s."),
        "encounter-award": gettext("Awarded to %(to)s: %(meeting)s."),
        "encounter-lift": gettext("An award was lifted: %(meeting)s."),
    }
