"""What pages say of rules and states, in the reader's language."""

from __future__ import annotations

from django.utils.translation import gettext, pgettext

from scoring.access import Actor
from scoring.models import Match, Player
from scoring.rules.families import FAMILIES
from scoring.rules.said import Said

# What stands in data files is collected by scoring/rules/words.py.


def speak(sentence: Said | str) -> str:
    """Return a sentence of the rules in the reader's language."""
    return sentence.into(gettext) if isinstance(sentence, Said) else gettext(sentence)


def discipline_name(match: Match) -> str:
    """Return the name of the discipline, as it stands in a sentence."""
    name = match.discipline.get("name") or match.discipline_code
    return gettext(name).lower()


def family_name(code: str | None) -> str:
    """Return what the trade says of a family; empty where none was tried."""
    if code is None:
        return ""
    family = FAMILIES.get(code)
    return code if family is None else speak(family.trade_name)


def ball_name(colour: str) -> str:
    """Return White, Yellow or Red."""
    return {"white": gettext("White"), "yellow": gettext("Yellow"), "red": gettext("Red")}[colour]


def rail_name(rail: str) -> str:
    """Return the name of a rail, in lower case."""
    return {
        "bottom": pgettext("rail", "bottom"),
        "right": pgettext("rail", "right"),
        "top": pgettext("rail", "top"),
        "left": pgettext("rail", "left"),
    }[rail]


def contact_words(contacts: list[dict]) -> list[dict]:
    """Return contacts as `{number, word, tie}`, in order."""
    return [
        {
            "number": number,
            "word": ball_name(one["ball"]) if one.get("ball") else rail_name(one["rail"]),
            "tie": bool(one.get("tie")),
        }
        for number, one in enumerate(contacts, 1)
    ]


def short_name(player: Player, actor: Actor) -> str:
    """Return the name for narrow columns: the surname where the whole name may be shown."""
    player = player.merged_into or player
    whole_name = player.published and player.consent == Player.Consent.FULL
    if actor.names_open or whole_name:
        return player.surname
    return player.shown_name(False)


def ended_words(ended_by: str | None) -> str:
    """Return how a match ended, where it was not by play alone."""
    return {
        "concession": gettext("conceded"),
        "retirement": gettext("ended by a retirement"),
        "walkover": gettext("walkover"),
        "award": gettext("awarded"),
        "disqualified": gettext("ended by a disqualification"),
        "annulled": gettext("annulled"),
        "limit": gettext("ended at the limit of innings"),
        "extra": gettext("decided in extra innings"),
    }.get(ended_by or "", "")
