"""From a match that was read to the entries of its ledger, and whether they fit the rules."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scoring.rules.disciplines import Discipline
from scoring.rules.formats import complete_format
from scoring.rules.match.checks import Refused, prepare
from scoring.rules.match.entry import read_entry
from scoring.rules.match.play import append
from scoring.rules.match.setup import Setup
from scoring.rules.match.state import start
from scoring.rules.rulesets import RuleSet
from scoring.rules.said import Malformed, Said, said

from .drafts import MatchDraft

# Two players as they stand in a sheet that is only tried.
FIRST, SECOND = 1, 2


def starter_of(draft: MatchDraft) -> int:
    """Return who began, 0 or 1: the first, unless the second had an inning more."""
    return int(draft.innings is not None and draft.innings[1] > draft.innings[0])


def format_of(draft: MatchDraft, defaults: Mapping[str, Any] | None, game: Discipline) -> dict[str, Any]:
    """Return the complete format under which what was played ends where it ended.

    A list without distances ends after its last inning; where one player had an inning more, that
    inning reached the distance.
    """
    distances = list(draft.distances)
    given: dict[str, Any] = {"sets_to_win": None, "innings_limit": None}
    if draft.runs is not None:
        even = len(draft.runs[0]) == len(draft.runs[1])
        given["equalizing"] = even
        reached = [made == wanted for made, wanted in zip(draft.score, distances, strict=True)]
        if even and not any(reached):
            given["innings_limit"] = len(draft.runs[0])
        elif not even and distances[starter_of(draft)] is None:
            distances[starter_of(draft)] = draft.score[starter_of(draft)] or None
    return complete_format(given | {"distance": distances}, defaults, game)


def entries_of(draft: MatchDraft, players: tuple[int, int], source: str) -> list[dict[str, Any]]:
    """Return the entries of a match, from its opening to its confirmation, without uuid and time."""
    first = starter_of(draft)
    entries: list[dict[str, Any]] = [{"kind": "open", "starter": players[first], "decided_by": "other"}]
    if draft.runs is not None:
        sides = (draft.runs[first], draft.runs[1 - first])
        for number in range(len(sides[0])):
            entries += [{"kind": "inning", "run": runs[number]} for runs in sides if number < len(runs)]
    else:
        entries.append(_totals(draft, source))
    return [*entries, {"kind": "confirm"}]


def _totals(draft: MatchDraft, source: str) -> dict[str, Any]:
    told: dict[str, Any] = {"kind": "result", "outcome": "played", "source": source}
    pairs = {"score": draft.score, "innings": draft.innings, "high_run": draft.high_runs}
    # Who began is the first: White, therefore.
    first = starter_of(draft)
    for name, pair in pairs.items():
        if pair is not None:
            told[name] = {"white": pair[first], "yellow": pair[1 - first]}
    return told


def trouble_of(
    draft: MatchDraft, form: Mapping[str, Any], game: Discipline, rule_set: RuleSet
) -> Said | None:
    """Return why the ledger would not take a list of innings; None where it would."""
    if draft.runs is None:
        return None
    setup = Setup((FIRST, SECOND), game, form, rule_set)
    state = start(setup)
    for number, fields in enumerate(entries_of(draft, (FIRST, SECOND), "")):
        try:
            entry = prepare(setup, state, read_entry(fields), None)
        except (Refused, Malformed) as error:
            if fields["kind"] == "confirm":
                return said(
                    "The match does not end with its last inning: look at the distances and the runs."
                )
            return said("Inning %(number)s: %(reason)s", number=(number + 1) // 2, reason=error.reason)
        state, _row = append(setup, state, entry)
    return None
