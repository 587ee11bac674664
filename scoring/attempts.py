"""What an entry of a session adds up to: the attempt, out of the entry and the session alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from scoring.models import Attempt, PracticeEntry, PracticeSession
from scoring.rules.contacts import parse_contacts
from scoring.rules.disciplines import Discipline
from scoring.rules.rulesets import RuleSet
from scoring.rules.rulings import Ruling, rule

OF_THE_BALLS = ("layout", "cue_ball", "line")
_KEPT = ("valid", "cushions", "required", "family", "foul")


@dataclass(frozen=True)
class Game:
    """The regulations that a session was begun with."""

    discipline: Discipline
    rule_set: RuleSet

    @classmethod
    def of(cls, session: PracticeSession) -> Game:
        return cls(Discipline.from_json(session.discipline), RuleSet.from_json(session.rule_set))

    def ruling(self, cue_ball: str, contacts: Any) -> Ruling | None:
        """Judge contacts; None where none were told. Raises Malformed (`contacts`)."""
        if contacts is None:
            return None
        read = parse_contacts(contacts, cue_ball, field="contacts")
        return rule(self.discipline, cue_ball, read, rule_set=self.rule_set)


def outcome_of(said: str | None, ruling: Ruling | None) -> str:
    """Return what came of it: the player's word, else what the contacts say."""
    if said is not None:
        return said
    made = ruling is not None and ruling.valid
    return Attempt.Outcome.MADE if made else Attempt.Outcome.MISSED


def attempt_of(game: Game, entry: PracticeEntry) -> Attempt:
    """Return the attempt of an entry, not stored yet and not struck out."""
    data: Mapping[str, Any] = entry.data
    stamps: Mapping[str, Any] = entry.stamps
    ruling = game.ruling(stamps["cue_ball"], data.get("contacts"))
    outcome = outcome_of(data.get("outcome"), ruling)
    made = outcome == Attempt.Outcome.MADE
    family = None if ruling is None else ruling.family
    codes = ["ruling"] if ruling is not None and ruling.valid != made else []
    return Attempt(
        entry=entry,
        uuid=entry.uuid,
        session_id=entry.session_id,
        order=entry.seq,
        position_id=stamps.get("position"),
        layout=stamps["layout"],
        cue_ball=stamps["cue_ball"],
        line=stamps.get("line"),
        # A miss has no family but the one that was declared: what was tried is never guessed.
        family_tried=data.get("family") or (family if made else None),
        family_made=family,
        contacts=data.get("contacts"),
        outcome=outcome,
        how=data.get("how"),
        ruling=None if ruling is None else {name: getattr(ruling, name) for name in _KEPT},
        codes=codes + (["clock"] if entry.misdated else []),
        told=stamps["told"],
        device_time=entry.device_time,
        dated_at=entry.dated_at,
        offline=entry.offline,
        from_match_id=data.get("from_match"),
        from_place=data.get("from_place"),
    )


def strike(attempt: Attempt, entry: PracticeEntry) -> None:
    """Strike an attempt out by an entry, or put it back where the entry takes a strike-out back."""
    back = entry.data["target"] != str(attempt.uuid)
    attempt.struck_by = None if back else entry
    attempt.struck_out_at = None if back else entry.dated_at


def fold(game: Game, entries: Iterable[PracticeEntry]) -> list[Attempt]:
    """Return the attempts of a session's entries, in order."""
    found: dict[str, Attempt] = {}
    for entry in entries:
        if entry.kind == "attempt":
            found[str(entry.uuid)] = attempt_of(game, entry)
        else:
            strike(found[entry.stamps["attempt"]], entry)
    return list(found.values())


def counted(attempts: Iterable[Attempt]) -> tuple[int, int]:
    """Return how many attempts stand, and how many of them made the point."""
    standing = [one for one in attempts if one.struck_out_at is None]
    return len(standing), sum(one.is_made for one in standing)
