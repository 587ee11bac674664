"""What came of practice, in counts and plain words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext

from scoring.models import Attempt, PracticePosition, PracticeSession
from scoring.positions import name_of
from scoring.rules.rates import wilson

# Under so many attempts a share says next to nothing, and none is told.
COUNTS_ONLY_BELOW = 20


@dataclass
class Tried:
    """Attempts that stand at one position: how many, how many made, and how the rest missed."""

    name: str
    position: PracticePosition | None = None
    tried: int = 0
    made: int = 0
    how: dict[str, int] = field(default_factory=dict)

    def add(self, attempt: Attempt) -> None:
        self.tried += 1
        self.made += attempt.is_made
        if attempt.how:
            self.how[attempt.how] = self.how.get(attempt.how, 0) + 1

    @property
    def words(self) -> str:
        """What may be said of it."""
        return share_words(self.made, self.tried)

    @property
    def how_words(self) -> str:
        """How it missed, the usual way first: "4 short, 1 thin"."""
        names = dict(Attempt.How.choices)
        told = sorted(self.how.items(), key=lambda one: -one[1])
        return ", ".join(f"{count} {names[code]}" for code, count in told)


def share_words(made: int, tried: int) -> str:
    """Return what so many attempts say: nothing, the counts, or how far the share is known."""
    if tried == 0:
        return gettext("not tried")
    if tried < COUNTS_ONLY_BELOW:
        return gettext("Counts only")
    low, high = wilson(made, tried)
    return gettext("likely between %(low)s and %(high)s in 100") % {
        "low": round(low * 100),
        "high": round(high * 100),
    }


def standing(session: PracticeSession) -> list[Attempt]:
    """Return the attempts of a session that are not struck out, in order."""
    found = session.attempts.filter(struck_out_at__isnull=True)
    return list(found.select_related("position").order_by("order"))


def by_position(attempts: Iterable[Attempt]) -> list[Tried]:
    """Return the sums of each position, in the order they were first tried."""
    rows: dict[int | None, Tried] = {}
    for attempt in attempts:
        row = rows.get(attempt.position_id)
        if row is None:
            name = name_of(attempt.position) if attempt.position else gettext("Placed by hand")
            row = rows[attempt.position_id] = Tried(name, attempt.position)
        row.add(attempt)
    return list(rows.values())


def goal_words(goal: dict[str, Any] | None, tried: int, made: int) -> str:
    """Return how a session stands to its goal; empty where it has none."""
    wanted = (goal or {}).get("made")
    if not wanted:
        return ""
    values = {"made": wanted, "missing": wanted - made}
    if made >= wanted:
        return gettext("goal of %(made)s reached") % values
    left = goal["attempts"] - tried if goal and goal.get("attempts") else None
    if left is not None and left < values["missing"]:
        return gettext("goal: %(made)s made; out of reach this time") % values
    return gettext("goal: %(made)s made, %(missing)s to go") % values


def outcome_words(attempt: Attempt) -> str:
    """Return "made", "missed", or "missed, short"."""
    if attempt.how:
        return gettext("missed, %(how)s") % {"how": attempt.get_how_display()}
    return attempt.get_outcome_display()
