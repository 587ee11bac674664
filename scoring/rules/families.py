"""Shot families: the class of a stroke by the order of its contacts.

Mirror images are folded away: the first long rail met is L, the other L'; likewise S and S'
for the short ones. The first family of the discipline's list that matches names the stroke.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .contacts import LONG_RAILS, Contact, course
from .said import Said, said

if TYPE_CHECKING:
    from .disciplines import Discipline

OTHER = "other"


@dataclass(frozen=True)
class FamilyPattern:
    """What a contact sequence must show.

    code: of the pattern; family: the family it names (two patterns may name the same).
    before, after: fewest and most cushions before B1 and between B1 and B2; None: no limit.
    starts: how the cushions after B1 may begin, each a tuple of L, L', S, S'; empty: anyhow.
    back_to_same: the first cushion after B1 is the one met before it.
    """

    code: str
    family: str
    before: tuple[int, int | None]
    after: tuple[int, int | None]
    starts: tuple[tuple[str, ...], ...] = ()
    back_to_same: bool = False

    def matches(self, before: Sequence[str], after: Sequence[str]) -> bool:
        """Tell whether rails met before B1 and between B1 and B2 fit this pattern."""
        if not (_within(len(before), self.before) and _within(len(after), self.after)):
            return False
        if self.back_to_same and (not before or not after or before[-1] != after[0]):
            return False
        folded = fold(after)
        return not self.starts or any(folded[: len(start)] == start for start in self.starts)


def _within(count: int, bounds: tuple[int, int | None]) -> bool:
    return bounds[0] <= count and (bounds[1] is None or count <= bounds[1])


def fold(rails: Sequence[str]) -> tuple[str, ...]:
    """Name rails by kind and order of appearance: L, L', S, S'."""
    first: dict[str, str] = {}
    names = []
    for rail in rails:
        kind = "L" if rail in LONG_RAILS else "S"
        names.append(kind if first.setdefault(kind, rail) == rail else f"{kind}'")
    return tuple(names)


def family_of(discipline: Discipline, cue_ball: str, contacts: Sequence[Contact]) -> str | None:
    """Return the family of a stroke, `other` where none fits, None if the second ball was not met.

    `cue_ball` must not be among the contacts (`parse_contacts` sees to it).
    """
    way = course(contacts)
    if way.second is None:
        return None
    for code in discipline.families:
        pattern = FAMILY_PATTERNS[code]
        if pattern.matches(way.before, way.after):
            return pattern.family
    return OTHER


def _pattern(row: Mapping[str, Any]) -> FamilyPattern:
    return FamilyPattern(
        code=row["code"],
        family=row.get("family", row["code"]),
        before=tuple(row["before"]),
        after=tuple(row["after"]),
        starts=tuple(tuple(start.split()) for start in row.get("starts", ())),
        back_to_same=row.get("back_to_same", False),
    )


FAMILY_PATTERNS: Mapping[str, FamilyPattern] = {
    row["code"]: _pattern(row)
    for row in json.loads(Path(__file__).with_name("data").joinpath("families.json").read_text("utf-8"))
}


def default_families(required_cushions: int) -> tuple[str, ...]:
    """Return the list for a discipline that names none of its own: the shorter patterns come
    last, and only where fewer than three cushions are required."""
    return tuple(code for code, one in FAMILY_PATTERNS.items() if required_cushions < 3 or _is_long(one))


def _is_long(pattern: FamilyPattern) -> bool:
    return pattern.before[0] + pattern.after[0] >= 3


@dataclass(frozen=True)
class Family:
    """A family in words: code, what the trade says, and the sequence."""

    code: str
    trade_name: Said
    sequence: Said


FAMILIES: Mapping[str, Family] = {
    one.code: one
    for one in (
        Family("bank", said("bank"), said("cushions first, then both balls")),
        Family(
            "umbrella", said("umbrella"), said("two cushions, a ball, one or more cushions, the other ball")
        ),
        Family(
            "ticky",
            said("ticky"),
            said("one cushion, a ball, back to that same cushion, at least one more, the other ball"),
        ),
        Family(
            "rail-first", said("cushion first"), said("one cushion, a ball, more cushions, the other ball")
        ),
        Family(
            "five-and-more",
            said("five-rail, around twice"),
            said("a ball, five or more cushions, the other ball"),
        ),
        Family(
            "around-the-table",
            said("natural, long way"),
            said("a ball, long cushion, short cushion, other long cushion, the other ball"),
        ),
        Family(
            "short-around",
            said("end rail first"),
            said("a ball, short cushion, long cushion, other short cushion, the other ball"),
        ),
        Family(
            "double-rail",
            said("double-the-rail, snake"),
            said("a ball, one cushion, a cushion beside it, the first cushion again, the other ball"),
        ),
        Family(
            "cross-table",
            said("cross-table, zig-zag"),
            said("a ball, long cushion, other long cushion, the first again, the other ball"),
        ),
        Family(
            "end-to-end",
            said("up and down"),
            said("a ball, short cushion, other short cushion, the first again or a long one, the other ball"),
        ),
        Family(
            "short-angle",
            said("short angle"),
            said("a ball, short cushion, long cushion, other long cushion, the other ball"),
        ),
        Family(
            "long-angle",
            said("long angle"),
            said(
                "a ball, long cushion, then both short ones or the other long and a short one, the other ball"
            ),
        ),
        Family("one-rail", said("one cushion"), said("a ball, one cushion, the other ball")),
        Family("two-rail", said("two cushions"), said("a ball, two cushions, the other ball")),
        Family("direct", said("direct"), said("a ball, then the other ball")),
        Family(OTHER, said("another way"), said("any other order")),
    )
}
