"""The sheet of an encounter: the home side enters what was not scored live, the away captain answers board by board.

What a board came to is an entry of its match's ledger; who handed the sheet over, confirmed, disputed and
decided stands in the competition's ledger beside it.
"""

from __future__ import annotations

import uuid as uuids
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils.translation import gettext

from scoring import ledger
from scoring.conducting import read_state
from scoring.encounter_sums import OVER, hold
from scoring.encounters import matches_of, record
from scoring.ledger import Author
from scoring.models import CompetitionEntry, Encounter, Match, MatchProjection, Team
from scoring.rules.event.encounters import boards_of, encounter_of
from scoring.rules.match.checks import Refused
from scoring.rules.match.entry import PLACED, RUNS
from scoring.rules.reading import a_choice, an_int, an_object
from scoring.rules.said import Malformed, said

# played; home or away: the other side's player did not appear; nobody: neither played.
OUTCOMES = ("played", "home", "away", "nobody")
FIGURES = ("points", "innings", "high_run")
MOST = 100_000
_BOARD = ("board", "outcome", "starter", "home", "away", "innings")


def read_board(value: Any) -> dict[str, Any]:
    """Return a board as the home side tells it. Raises Malformed with the field.

    {board, outcome, home, away} with points, innings and high_run (or none) of each side; or `innings`,
    the runs of both, inning after inning, in place of the figures. starter: home unless said.
    """
    told = an_object(value, "board", _BOARD)
    read: dict[str, Any] = {
        "board": an_int(told.get("board"), "board", 1, 20),
        "outcome": a_choice(told.get("outcome", "played"), "outcome", OUTCOMES),
        "starter": None,
    }
    if told.get("starter") is not None:
        read["starter"] = a_choice(told["starter"], "starter", ("home", "away"))
    if read["outcome"] != "played":
        return read
    if told.get("innings") is not None:
        runs = an_object(told["innings"], "innings", ("home", "away"))
        return read | {"innings": {side: _runs(runs.get(side), side) for side in ("home", "away")}}
    for side in ("home", "away"):
        figures = an_object(told.get(side), side, FIGURES)
        read[side] = {
            name: None
            if name == "high_run" and figures.get(name) is None
            else an_int(figures.get(name), f"{side}.{name}", 0, MOST)
            for name in FIGURES
        }
    if (read["home"]["high_run"] is None) != (read["away"]["high_run"] is None):
        raise Malformed("high_run", said("Write the high runs of both, or of neither."))
    return read


def _runs(value: Any, side: str) -> list[int]:
    if not isinstance(value, list) or not 1 <= len(value) <= 300:
        raise Malformed(f"innings.{side}", said("the runs of each inning are needed here"))
    return [an_int(one, f"innings.{side}.{place}", 0, 1000) for place, one in enumerate(value)]


def _write(match: Match, entries: Sequence[Mapping[str, Any]], author: Author, uuid: uuids.UUID) -> None:
    """Append entries to the ledger of a board. Raises what the ledger refuses; then nothing stays."""
    sent = [
        {"uuid": str(uuids.uuid5(uuid, str(place))), "after": match.projection.seq} | dict(entry)
        for place, entry in enumerate(entries)
    ]
    with transaction.atomic():
        outcomes, _state = ledger.append_list(match.pk, sent, author)
        for one in outcomes:
            if one.error is not None:
                raise one.error


def _trusted(author: Author) -> Author:
    """Return the author as somebody whose right to write totals was judged by the encounter."""
    return Author(author.user_id, author.link_id, author.pen_id, author.batch_id, organises=True)


def _match_of(encounter: Encounter, board: int) -> Match:
    match = matches_of(encounter).get(board)
    if match is None:
        raise Refused("no-board", said("Nobody met on this board: there is nothing to write."))
    return match


@transaction.atomic
def do_enter_board(
    encounter: Encounter, value: Any, author: Author, uuid: uuids.UUID | None = None, why: str | None = None
) -> None:
    """Write what a board came to into its match's ledger; again with the same uuid writes nothing.

    why: needed where the board was confirmed before. Raises Malformed and Refused.
    """
    told = read_board(value)
    one = encounter_of(read_state(encounter.home.competition), encounter.pk)
    answer = one["boards"].get(str(told["board"]))
    if answer == "confirmed" and not author.organises:
        raise Refused("answered", said("The away side confirmed this board already."))
    if answer is not None and not author.organises:
        raise Refused("answered", said("This board was answered already. Ask an organiser."))
    match = _match_of(encounter, told["board"])
    uuid = uuid or uuids.uuid4()
    if match.entries.filter(uuid=uuids.uuid5(uuid, "0")).exists():
        return
    if match.entries.filter(kind__in=RUNS).exists() and not author.organises:
        raise Refused(
            "scored", said("This board was scored inning by inning. Correct it on its score sheet.")
        )
    _write(match, _entries(match, told, why), _trusted(author), uuid)


def _entries(match: Match, told: Mapping[str, Any], why: str | None) -> list[dict[str, Any]]:
    """Return what is written for a board: the opening where it is missing, and its result or innings."""
    home, away = match.entrant_ids
    because = {} if why is None else {"why": why}
    if told["outcome"] == "nobody":
        return [{"kind": "result", "outcome": "annulled", **because}]
    if told["outcome"] != "played":
        winner = home if told["outcome"] == "home" else away
        return [{"kind": "result", "outcome": "walkover", "player": winner, **because}]
    starter = _starter(match, told)
    entries: list[dict[str, Any]] = []
    if match.projection.white_id is None:
        entries.append({"kind": "open", "starter": starter, "decided_by": "other"})
    if "innings" in told:
        first, second = ("home", "away") if starter == home else ("away", "home")
        runs = told["innings"]
        for at in range(max(len(runs[first]), len(runs[second]))):
            for side in (first, second):
                if at < len(runs[side]):
                    entries.append({"kind": "inning", "run": runs[side][at]})
        return entries
    white, yellow = ("home", "away") if starter == home else ("away", "home")
    result: dict[str, Any] = {"kind": "result", "outcome": "played", "source": gettext("encounter sheet")}
    for name, key in (("score", "points"), ("innings", "innings"), ("high_run", "high_run")):
        if told["home"][key] is not None:
            result[name] = {"white": told[white][key], "yellow": told[yellow][key]}
    return [*entries, result | because]


def _starter(match: Match, told: Mapping[str, Any]) -> int:
    """Return who started: as written before, as told, else who has an inning more, else the home side."""
    home, away = match.entrant_ids
    if match.projection.white_id is not None:
        return match.projection.white_id
    if told["starter"] is not None:
        return home if told["starter"] == "home" else away
    counts = [
        len(told["innings"][side]) if "innings" in told else told[side]["innings"]
        for side in ("home", "away")
    ]
    return away if counts[1] > counts[0] else home


@transaction.atomic
def do_hand_over(encounter: Encounter, author: Author, uuid: uuids.UUID | None = None) -> None:
    """Hand the sheet to the away side. Raises Refused while a board has no result."""
    missing = [
        str(board) for board, one in matches_of(encounter).items() if one.projection.status not in OVER
    ]
    if missing:
        raise Refused(
            "not-over",
            said(
                "No result yet on board %(boards)s. Write it, or that nobody played.",
                boards=", ".join(missing),
            ),
        )
    record(encounter, "sheet", {}, author, uuid)


def written_on(matches: Iterable[Match]) -> int:
    """Return how many entries the boards of an encounter hold together: it grows with whatever is written."""
    return sum(match.projection.seq for match in matches)


def _check_looked_at(encounter: Encounter, expected: int | None, uuid: uuids.UUID) -> None:
    """Raise Refused where a board was written since it was looked at; what is sent again is let through."""
    if expected is None or CompetitionEntry.objects.filter(uuid=uuid).exists():
        return
    if written_on(matches_of(encounter).values()) != expected:
        raise Refused(
            "stale",
            said(
                "A board was changed since you looked at it. Look at the boards as they are now, then answer."
            ),
        )


@transaction.atomic
def do_confirm_boards(
    encounter: Encounter,
    author: Author,
    boards: Sequence[int] | None = None,
    uuid: uuids.UUID | None = None,
    expected: int | None = None,
) -> None:
    """Confirm boards for the away side, all that were not answered unless said otherwise.

    expected: how much was written on the boards that were looked at (`written_on`); refused as `stale` where
    that has changed since.
    """
    hold(encounter)
    uuid = uuid or uuids.uuid4()
    _check_looked_at(encounter, expected, uuid)
    one = encounter_of(read_state(encounter.home.competition), encounter.pk)
    left = [board for board in range(1, boards_of(one) + 1) if str(board) not in one["boards"]]
    chosen = left if boards is None else list(boards)
    if not chosen:
        raise Refused("answered", said("Every board was answered already."))
    if record(encounter, "boards-confirm", {"boards": chosen}, author, uuid).known:
        return
    matches = matches_of(encounter)
    for board in chosen:
        match = matches.get(board)
        if match is not None and match.projection.status == MatchProjection.Status.OVER:
            _write(match, [{"kind": "confirm"}], author, uuids.uuid5(uuid, str(board)))


@transaction.atomic
def do_dispute_board(
    encounter: Encounter, board: int, why: str, author: Author, uuid: uuids.UUID | None = None
) -> None:
    """Dispute a board for the away side: it counts, provisionally, until an organiser decides."""
    hold(encounter)
    uuid = uuid or uuids.uuid4()
    if record(encounter, "board-dispute", {"board": board, "why": why}, author, uuid).known:
        return
    match = matches_of(encounter).get(board)
    if match is None:
        return
    target = _last_place(match)
    entries: list[dict[str, Any]] = [{"kind": "dispute", "target": target, "why": why}]
    _write(match, entries, author, uuid)


def _last_place(match: Match) -> int:
    """Return the entry that a board's result rests on: its latest, of those that stand in the order of play."""
    return match.entries.filter(kind__in=PLACED).order_by("-seq").values_list("seq", flat=True)[0]


@transaction.atomic
def do_settle_board(
    encounter: Encounter,
    board: int,
    decision: str,
    author: Author,
    *,
    result: Any = None,
    uuid: uuids.UUID | None = None,
    expected: int | None = None,
) -> None:
    """Decide a disputed board, with another result or with the one that stands; it is confirmed by that.

    expected: as in `do_confirm_boards`.
    """
    hold(encounter)
    uuid = uuid or uuids.uuid4()
    _check_looked_at(encounter, expected, uuid)
    if record(encounter, "board-settle", {"board": board, "decision": decision}, author, uuid).known:
        return
    match = matches_of(encounter).get(board)
    if match is None:
        return
    target = _disputed_place(match)
    entries: list[dict[str, Any]] = [{"kind": "settle", "target": target, "decision": decision}]
    if result is not None:
        told = read_board({"board": board, **result})
        if "innings" in told:
            raise Malformed("innings", said("Correct innings on the score sheet of the match."))
        entries = _entries(match, told, decision) + entries
    if result is not None or match.projection.status == MatchProjection.Status.OVER:
        entries.append({"kind": "confirm"})
    _write(match, entries, _trusted(author), uuid)


def _disputed_place(match: Match) -> int:
    disputed = match.entries.filter(kind="dispute").order_by("-seq").first()
    return _last_place(match) if disputed is None else disputed.data["target"]


@transaction.atomic
def do_award(
    encounter: Encounter,
    to: Team | None,
    why: str,
    author: Author,
    *,
    walkover: bool = False,
    uuid: uuids.UUID | None = None,
) -> None:
    """Give a whole encounter to a team, or to neither; its boards count for nothing then."""
    fields = {"to": None if to is None else to.pk, "walkover": walkover, "why": why}
    record(encounter, "encounter-award", fields, author, uuid)


@transaction.atomic
def do_lift_award(encounter: Encounter, why: str, author: Author, uuid: uuids.UUID | None = None) -> None:
    """Take an award back: what was played counts again."""
    record(encounter, "encounter-lift", {"why": why}, author, uuid)
