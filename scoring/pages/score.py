"""The scoring page: what its script needs to write a match."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_safe

from scoring import ledger, projecting, records
from scoring.access import Actor, organises_match, writes_match
from scoring.models import Match, PlayTable
from scoring.pens import pen_of
from scoring.rules.families import FAMILIES
from scoring.rules.fouls import FOUL_REASONS
from scoring.rules.lag import lag_in_words
from scoring.rules.rulesets import RuleSet
from scoring.undecided import in_knockout

from .gate import match_or_404, page
from .words import discipline_name, family_name, short_name, speak


@require_safe
@never_cache
@ensure_csrf_cookie
@page
def score(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Render the scoring page of a match."""
    match = match_or_404(actor, pk, "write")
    heading = match.table_now.name if match.table_now else gettext("Match %(number)s") % {"number": match.pk}
    parts = [discipline_name(match)]
    if match.competition is not None:
        parts.append(match.competition.name)
    rule_set = RuleSet.from_json(match.rule_set)
    data = score_data(match, actor, heading)
    context = {
        "decided_by": rule_set.start_decided_by,
        "lag_words": [speak(sentence) for sentence in lag_in_words(rule_set)],
        "wrong_ball_cancels": rule_set.wrong_ball_cancels_last_point,
        "heading": heading,
        "tables": data["tables"],
        "has_table": match.table_now is not None,
        "meta": ", ".join(parts),
        "score_data": data,
        "sheet_url": reverse("match-sheet", args=[match.pk]),
        "by_link": data["by_link"],
        "in_knockout": in_knockout(match),
        "back_url": reverse("at-the-table") if data["by_link"] else reverse("match", args=[match.pk]),
    }
    return render(request, "scoring/score.html", context)


def score_data(match: Match, actor: Actor, heading: str) -> dict:
    """Return what the script reads out of #score-data.

    match_id, setup, entries, api_url : as `MatchDesk.open` takes them.
    names : player id -> name for narrow columns; full_names : the whole ones.
    pen_held : whether a device holds the pen; the script knows whether it is this one.
    heading : the table, or the match; device : what this pen is called at first.
    by_link : whether this device writes through the link of its table, whose token it keeps.
    organises : whether this person may correct beside the pen, and after the confirmation.
    tables : [id, name] of the tables where a suspended match may go on.
    families, foul_reasons : [code, words] in the order they are offered.
    sheet_url, match_url : where to go from here.
    """
    setup = projecting.setup_of(match)
    players = (match.entrant_a, match.entrant_b)
    families = [*dict.fromkeys(code for code in setup.discipline.families if code in FAMILIES), "other"]
    return {
        "match_id": match.pk,
        "setup": setup.to_json(),
        "entries": [flat_entry(row) for row in ledger.read_entries(match)],
        "api_url": "/api/",
        "names": {str(player.pk): short_name(player, actor) for player in players},
        "full_names": {str(player.pk): player.shown_name(actor.names_open) for player in players},
        "pen_held": pen_of(match) is not None,
        "heading": heading,
        "device": heading,
        "by_link": actor.link is not None and not writes_match(Actor(user=actor.user), match),
        "organises": organises_match(actor, match),
        "tables": tables_of(match),
        "families": [[code, family_name(code)] for code in families],
        "foul_reasons": [[code, speak(words)] for code, words in FOUL_REASONS.items()],
        "sheet_url": reverse("match-sheet", args=[match.pk]),
        "match_url": reverse("match", args=[match.pk]),
    }


def tables_of(match: Match) -> list[tuple[int, str]]:
    """Return the tables of the match's club: id and name."""
    return list(PlayTable.objects.filter(club=match.club_id).order_by("pk").values_list("pk", "name"))


def flat_entry(row) -> dict:
    """Return an entry of the ledger in the flat form that the fold reads, with its free text."""
    text = getattr(row, "text", None)
    return records.entry_of(row, text.texts if text is not None else {}).to_json()
