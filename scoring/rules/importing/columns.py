"""Which column of a file holds what: guessed from its heads, changed by whoever brings it in."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scoring.rules.said import Said, said

PLAYERS, RESULTS, INNINGS = "players", "results", "innings"
KINDS: Mapping[str, Said] = {
    PLAYERS: said("players"),
    RESULTS: said("past results"),
    INNINGS: said("lists of innings"),
}


@dataclass(frozen=True)
class Column:
    """What a column may hold, and the heads by which it is guessed, plain and in lower case."""

    name: str
    label: Said
    heads: tuple[str, ...]


def _column(name: str, label: str, *heads: str) -> Column:
    return Column(name, Said(label), (name.replace("_", " "), label, *heads))


def _pair(name: str, first: str, second: str, *heads: str) -> tuple[Column, Column]:
    """Return the columns of both players; heads hold `#` where the 1 or 2, A or B stands."""
    found = []
    for side, label, signs in (("a", first, ("1", "a")), ("b", second, ("2", "b"))):
        written = [head.replace("#", sign) for head in heads for sign in signs]
        found.append(Column(f"{name}_{side}", Said(label), tuple(written)))
    return found[0], found[1]


_MATCH = (
    _column("date", "day", "day", "datum", "played on", "played"),
    *_pair("player", "first player", "second player", "player #", "name #", "speler #", "spieler #", "joueur #"),
    *_pair("number", "number of the first", "number of the second", "number #", "licence #", "licence no #",
           "number of player #", "bondsnummer #"),
    _column("discipline", "discipline", "game", "spelsoort"),
    *_pair("distance", "distance of the first", "distance of the second", "distance #", "to play #",
           "te maken #"),
)  # fmt: skip

COLUMNS: Mapping[str, tuple[Column, ...]] = {
    PLAYERS: (
        _column("name", "whole name", "player", "full name", "naam", "speler"),
        _column("given", "given names", "first name", "given name", "forename", "voornaam", "vorname", "prenom"),
        _column("family", "family name", "last name", "surname", "achternaam", "nachname", "nom"),
        _column("number", "number", "licence", "licence no", "license", "no", "nr", "member number",
                "mitgliedsnummer"),
        _column("issuer", "who gave the number", "issued by", "federation", "bond", "verband"),
        _column("since", "member since", "joined", "from", "lid sinds", "mitglied seit"),
        _column("until", "member until", "left", "to", "lid tot", "mitglied bis"),
        _column("guest", "guest", "visitor"),
    ),
    RESULTS: (
        *_MATCH,
        *_pair("score", "points of the first", "points of the second", "points #", "score #", "car #",
               "caramboles #", "punten #", "punkte #"),
        _column("innings", "innings of both", "inn", "beurten", "aufnahmen", "reprises"),
        *_pair("innings", "innings of the first", "innings of the second", "innings #", "inn #", "beurten #"),
        *_pair("high_run", "high run of the first", "high run of the second", "high run #", "hr #", "hs #",
               "best run #"),
    ),
    INNINGS: (
        *_MATCH,
        _column("match", "which match", "match no", "game no", "partij"),
        _column("inning", "number of the inning", "inning no", "beurt"),
        *_pair("run", "run of the first", "run of the second", "run #", "points #"),
        *_pair("runs", "all runs of the first", "all runs of the second", "runs #", "innings #", "sheet #"),
    ),
}  # fmt: skip

# For each kind, of each group at least one column is needed.
NEEDED: Mapping[str, tuple[tuple[str, ...], ...]] = {
    PLAYERS: (("name", "family"),),
    RESULTS: (("date",), ("player_a", "number_a"), ("player_b", "number_b"), ("score_a",), ("score_b",)),
    INNINGS: (("date",), ("player_a", "number_a"), ("player_b", "number_b"), ("run_a", "runs_a"), ("run_b", "runs_b")),
}  # fmt: skip

# Column of the file by what it holds.
ColumnMap = Mapping[str, int]


def plain(text: str) -> str:
    """Return a head as it is compared: lower case, without accents, signs as spaces."""
    bare = "".join(
        sign for sign in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(sign)
    )
    return " ".join(re.sub(r"[^0-9a-z]+", " ", bare).split())


def guess(kind: str, heads: Sequence[str]) -> dict[str, int]:
    """Return where each column probably stands; a head is taken once, the first of equal ones."""
    found: dict[str, int] = {}
    places = {plain(head): place for place, head in reversed(list(enumerate(heads))) if plain(head)}
    taken: set[int] = set()
    for column in COLUMNS[kind]:
        for head in column.heads:
            place = places.get(head)
            if place is not None and place not in taken:
                found[column.name] = place
                taken.add(place)
                break
    return found


def read_map(kind: str, chosen: Mapping[str, object], width: int) -> dict[str, int]:
    """Return a map out of what was chosen; what is unknown or lies outside the file is left out."""
    names = [column.name for column in COLUMNS[kind]]
    return {name: place for name in names if type(place := chosen.get(name)) is int and 0 <= place < width}


def missing(kind: str, columns: ColumnMap) -> list[tuple[str, ...]]:
    """Return the groups of which no column was chosen."""
    return [group for group in NEEDED[kind] if not any(name in columns for name in group)]


def label_of(kind: str, name: str) -> Said:
    """Return what a column is called on a page."""
    return next(column.label for column in COLUMNS[kind] if column.name == name)
