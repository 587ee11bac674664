"""A discipline as figures name it, and how its averages are cut."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext

from scoring.models import Club
from scoring.regulations import disciplines_of
from scoring.rules.averages import shown
from scoring.rules.disciplines import DISCIPLINES


@dataclass(frozen=True)
class Game:
    """A discipline: its code, its name in the reader's language, the decimals of an average and how it is cut."""

    code: str
    name: str
    decimals: int
    rounding: str

    def cut(self, points: int, innings: int) -> str | None:
        """Return an average as the discipline shows it; None without innings."""
        return shown(points, innings, self.decimals, self.rounding)


def game_of(code: str, club: Club) -> Game:
    """Return the discipline of a code; one that is no longer known goes by its code."""
    game = DISCIPLINES.get(code) or disciplines_of(club).get(code)
    if game is None:
        return Game(code, code, 3, "truncate")
    return Game(code, gettext(game.name), game.decimals, game.default_format["average_rounding"])
