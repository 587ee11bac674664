"""A competition's standings: a projection of its confirmed matches, whose order nobody disputes.

One row a player is read, however many matches there were; `scoring.summing` keeps these rows. Names are
as the reader may see them; values are compared as exact fractions and shown as the competition cuts
its averages.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from scoring.access import Actor
from scoring.conducting import read_state
from scoring.counted_as import counted_as
from scoring.models import Competition, CompetitionText, Group, Player, Stage, StandingSums
from scoring.regulations import find_discipline
from scoring.rules.averages import shown
from scoring.rules.event import ranks
from scoring.rules.event.entry import State
from scoring.rules.event.regulations import Regulations
from scoring.rules.formats import complete_format
from scoring.rules.ranking import CRITERIA, Ranked, Row, rank
from scoring.rules.steps import Step, steps_between
from scoring.rules.summed import from_json, together

CSV_HEAD = (
    "rank",
    "shared",
    "player",
    "name",
    "played",
    "match_points",
    "points",
    "innings",
    "average",
    "best_average",
    "high_run",
    "separated_by",
)


@dataclass(frozen=True)
class Deduction:
    """Points taken from a player, with the reason; `entry`: its seq in the competition's ledger."""

    entry: int
    player: int
    match_points: Fraction
    why: str


@dataclass(frozen=True)
class Standings:
    """The ranked rows, the players they are of, what they were ranked by, and how averages are cut."""

    ranked: list[Ranked]
    players: dict[int, Player]
    regulations: Regulations
    lots: Sequence[Sequence[int]]
    deductions: Sequence[Deduction]
    decimals: int
    rounding: str
    # The id of a merged record -> the id of the player it is read as.
    merged: Mapping[int, int]

    def whole(self, player: int) -> int:
        """Return the id under which a player is ranked."""
        return self.merged.get(player, player)

    @property
    def provisional(self) -> bool:
        """Whether matches are still to come, or under protest."""
        return any(one.provisional for one in self.ranked)

    @property
    def played(self) -> dict[int, int]:
        """How many matches of each player count."""
        return {one.row.key: one.row.played for one in self.ranked}

    @property
    def waiting(self) -> list[list[int]]:
        """The players of each rank that a lot must part."""
        groups: dict[int, list[int]] = {}
        for one in self.ranked:
            if one.waits_for_lot:
                groups.setdefault(one.rank, []).append(one.row.key)
        return list(groups.values())

    def steps(self, at: int) -> list[Step]:
        """Return how a row was compared with the next one."""
        rows = [one.row for one in self.ranked]
        return steps_between(
            rows[at],
            rows[at + 1],
            rows,
            self.regulations.order,
            restart=self.regulations.restart,
            lots=self.lots,
        )

    def to_json(self, actor: Actor) -> list[dict[str, Any]]:
        """Return the rows as they are answered; `name` as the reader may see it."""
        return [self._row(one, actor) for one in self.ranked]

    def _row(self, one: Ranked, actor: Actor) -> dict[str, Any]:
        row, player = one.row, self.players[one.row.key]
        return {
            "rank": one.rank,
            "shared": one.shared,
            "player": row.key,
            "name": player.shown_name(actor.names_open),
            "played": row.played,
            "match_points": number(row.match_points),
            "points": row.points,
            "innings": row.innings,
            "average": self.cut(row.points, row.innings),
            "best_average": self.cut(*row.best) if row.best else None,
            "high_run": row.high_run,
            "separated_by": one.separated_by,
        }

    def beside(self) -> dict[str, Any]:
        """Return what is answered beside the rows."""
        return {
            "provisional": self.provisional,
            "order": list(self.regulations.order),
            "waiting": self.waiting,
            "deductions": [
                {"player": one.player, "match_points": number(one.match_points), "why": one.why}
                for one in self.deductions
            ],
        }

    def cut(self, points: int, innings: int) -> str | None:
        """Return an average as it is shown."""
        return shown(points, innings, self.decimals, self.rounding)


def read_standings(
    competition: Competition,
    *,
    group: Group | None = None,
    stage: Stage | None = None,
    state: State | None = None,
) -> Standings:
    """Rank everybody who has a match in a competition, or in a part of it, by the confirmed matches.

    state: of the competition, where the caller has read it. Three queries, one more where points were
    taken and one for a discipline of the club's own.
    """
    if stage is not None:
        part: dict[str, Any] = {"group__stage": stage}
    else:
        part = {"group": group} if group is not None else {"group__isnull": True}
    found = _sums(competition, **part)
    state = read_state(competition) if state is None else state
    whole = _whole(competition, found)
    deductions = _deductions(competition, state, whole)
    return _ranked(competition, state, found, whole, deductions, _format(competition))


def read_group_standings(competition: Competition, state: State | None = None) -> dict[int, Standings]:
    """Rank every group of a competition by itself: group id -> standings; a group without sums is not in it.

    As many queries as `read_standings`, however many groups there are.
    """
    found: dict[int, list[StandingSums]] = {}
    for one in _sums(competition, group__isnull=False):
        found.setdefault(one.group_id or 0, []).append(one)
    state = read_state(competition) if state is None else state
    everybody = _whole(competition, [one for rows in found.values() for one in rows])
    deductions = _deductions(competition, state, everybody)
    wholes = {
        group: {one.player_id: everybody[one.player_id] for one in rows} for group, rows in found.items()
    }
    there = {group: {one.pk for one in whole.values()} for group, whole in wholes.items()}
    form = _format(competition)
    return {
        group: _ranked(
            competition,
            state,
            rows,
            wholes[group],
            [one for one in deductions if one.player in there[group]],
            form,
        )
        for group, rows in found.items()
    }


def _sums(competition: Competition, **part: Any) -> list[StandingSums]:
    sums = StandingSums.objects.filter(competition=competition, **part).exclude(sums={})
    return list(sums.select_related("player__name", "player__merged_into__name").order_by("player"))


def _whole(competition: Competition, found: Sequence[StandingSums]) -> dict[int, Player]:
    return counted_as([one.player for one in found], competition.closed_at)


def _format(competition: Competition) -> dict[str, Any]:
    game = find_discipline(competition.club, competition.discipline)
    return complete_format(None, competition.format_defaults, game)


def _ranked(
    competition: Competition,
    state: State,
    found: Sequence[StandingSums],
    whole: Mapping[int, Player],
    deductions: Sequence[Deduction],
    form: Mapping[str, Any],
) -> Standings:
    regulations = Regulations.stored(competition.regulations)
    rows = _rows(found, whole, deductions)
    lots = [list(dict.fromkeys(_key(whole, player) for player in lot)) for lot in ranks.lots_of(state)]
    return Standings(
        ranked=rank(rows, regulations.order, restart=regulations.restart, lots=lots),
        players={player.pk: player for player in whole.values()},
        regulations=regulations,
        lots=lots,
        deductions=deductions,
        decimals=form["average_decimals"],
        rounding=form["average_rounding"],
        merged={player: one.pk for player, one in whole.items() if player != one.pk},
    )


def _key(whole: Mapping[int, Player], player: int) -> int:
    return whole[player].pk if player in whole else player


def _rows(
    found: Sequence[StandingSums], whole: Mapping[int, Player], deductions: Sequence[Deduction]
) -> list[Row]:
    """Return a row for each whole player, by id; what was taken is taken."""
    parts: dict[int, list[Row]] = {}
    for one in found:
        row = from_json(whole[one.player_id].pk, one.sums, lambda other: _key(whole, other))
        parts.setdefault(row.key, []).append(row)
    rows = {key: together(parts[key]) for key in sorted(parts)}
    for taken in deductions:
        row = rows[taken.player]
        rows[taken.player] = replace(row, match_points=row.match_points - taken.match_points)
    return list(rows.values())


def _deductions(competition: Competition, state: State, whole: Mapping[int, Player]) -> list[Deduction]:
    """Return what was taken from those who are ranked, with the reasons that still stand."""
    rows = [one for one in state["deductions"] if _player(one) in whole]
    if not rows:
        return []
    texts = CompetitionText.objects.filter(
        entry__competition=competition, entry__seq__in=[one["seq"] for one in rows]
    ).values_list("entry__seq", "texts")
    reasons = {seq: words.get("why", "") for seq, words in texts}
    return [
        Deduction(
            one["seq"], whole[one["player"]].pk, Fraction(one["match_points"]), reasons.get(one["seq"], "")
        )
        for one in rows
    ]


def _player(deduction: Mapping[str, Any]) -> int | None:
    return deduction.get("player")


def number(value: int | Fraction) -> int | float:
    """Return match points as a JSON number."""
    exact = Fraction(value)
    return exact.numerator if exact.denominator == 1 else float(exact)


def exactly(value: int | Fraction | None) -> str:
    """Return a compared value in full: a whole number, a fraction, or a dash."""
    if value is None:
        return "–"
    exact = Fraction(value)
    return str(exact.numerator) if exact.denominator == 1 else f"{exact.numerator}/{exact.denominator}"


def criterion_name(code: str | None) -> Any:
    """Return a criterion in words, to be spoken; None for none."""
    return CRITERIA[code] if code else None
