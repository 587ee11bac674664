"""Playing many strokes and ruling on them: one ruling for each distinct order of contacts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from analytics.table.batches import Batch, play_strokes
from analytics.table.parameters import FINE, TableParameters
from analytics.table.shots import BALLS, RAILS, Shot, Strike, cue_of, placed, play_stroke
from analytics.table.stroke import BALL_CODE, TIE
from scoring.rules.contacts import Contact, course
from scoring.rules.disciplines import Discipline
from scoring.rules.rulesets import DEFAULT, RULE_SETS
from scoring.rules.rulings import rule

# Contacts of a stroke that are looked at: as many as a key has room for.
MOST = 16
# Strokes played at a time: bounds the memory, and often enough to stop between.
AT_A_TIME = 8192
# Closer than this [m], a ball lies against the cue ball or the rail.
AGAINST = 1e-6
NO_GROUP = -1


@dataclass(frozen=True)
class Group:
    """What tells lines apart; no rail where the discipline needs none and none was met."""

    family: str
    first_ball: str
    first_rail: str | None


@dataclass(frozen=True)
class Outcomes:
    """What became of n strokes: made (n,), key (n,) of the contacts up to the second ball (0
    where it was not met), group (n,), a number of `Game.groups`, or NO_GROUP where not made."""

    made: np.ndarray
    key: np.ndarray
    group: np.ndarray


@dataclass
class Game:
    """A layout, a cue ball, a discipline and a table; counts the strokes played on it.

    threads : by default one a processor.
    """

    layout: Mapping[str, Sequence[float]]
    cue_ball: str
    discipline: Discipline
    table: TableParameters
    threads: int | None = None
    fineness: tuple[int, int] = FINE
    played: int = 0
    groups: list[Group] = field(default_factory=list)
    _verdicts: dict[int, tuple[bool, int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.cue = cue_of(self.cue_ball)
        metres = placed(self.layout, self.table)[:, :2]
        self.metres = metres
        self._balls, self._rails = _against(metres, self.cue, self.table)

    def batch(self, strikes: np.ndarray) -> Batch:
        """Play strikes, shape (n, 4), until each is decided."""
        self.played += len(strikes)
        return play_strokes(
            self.layout,
            self.cue_ball,
            strikes,
            self.table,
            most=MOST,
            threads=self.threads,
            decided=True,
            fineness=self.fineness,
        )

    def shot(self, strike: np.ndarray) -> Shot:
        """Play one strike with all that is needed to draw it; its direction is folded into a turn."""
        direction, speed, side, height = strike.tolist()
        self.played += 1
        return play_stroke(
            self.layout, self.cue_ball, Strike(direction, speed, side, height), self.table, self.discipline
        )

    def outcomes(self, strikes: np.ndarray, sound: np.ndarray | None = None) -> Outcomes:
        """Play strikes, shape (n, 4), and rule on them; those that are not sound are misses."""
        n = len(strikes)
        found = Outcomes(np.zeros(n, bool), np.zeros(n, np.uint64), np.full(n, NO_GROUP))
        rows = np.arange(n) if sound is None else np.flatnonzero(sound)
        for begin in range(0, len(rows), AT_A_TIME):
            part = rows[begin : begin + AT_A_TIME]
            judged = self.judged(self.batch(strikes[part]))
            found.made[part], found.key[part], found.group[part] = judged.made, judged.key, judged.group
        return found

    def judged(self, batch: Batch) -> Outcomes:
        """Rule on strokes that were played; what happens past 16 contacts is not looked at."""
        keys = keys_of(batch)
        distinct, back = np.unique(keys, return_inverse=True)
        verdicts = [self._verdict(key) for key in distinct.tolist()]
        made = np.array([one for one, _ in verdicts], bool)
        group = np.array([one for _, one in verdicts], np.int64)
        return Outcomes(made[back], keys, group[back])

    def rules(self, contacts: Sequence[Contact]) -> tuple[bool, Group | None]:
        """Tell whether a stroke makes the point, and by which group."""
        return _ruled(self.discipline, self.cue_ball, self._balls, self._rails, tuple(contacts))

    def _verdict(self, key: int) -> tuple[bool, int]:
        if key == 0:
            return False, NO_GROUP
        if key not in self._verdicts:
            made, group = self.rules(contacts_of_key(key))
            if group is not None and group not in self.groups:
                self.groups.append(group)
            self._verdicts[key] = made, NO_GROUP if group is None else self.groups.index(group)
        return self._verdicts[key]


# The same orders of contacts turn up from one layout to the next.
@lru_cache(maxsize=1 << 16)
def _ruled(
    discipline: Discipline,
    cue_ball: str,
    balls: tuple[str, ...],
    rails: tuple[str, ...],
    contacts: tuple[Contact, ...],
) -> tuple[bool, Group | None]:
    """Rule on contacts of a cue ball that lay against these balls and rails."""
    ruling = rule(
        discipline,
        cue_ball,
        contacts,
        touching_rail=rails,
        touching_ball=balls,
        rule_set=RULE_SETS[DEFAULT],
    )
    if not ruling.valid:
        return False, None
    way = course(contacts)
    met = [*way.before, *way.after]
    assert ruling.family is not None
    assert way.first is not None
    return True, Group(ruling.family, way.first, met[0] if met else None)


def keys_of(batch: Batch) -> np.ndarray:
    """Return each stroke's contacts up to its second object ball in one number, shape (n,).

    Four bits a contact: 1 to 7 for bottom, right, top, left, white, yellow, red; 8 more where it
    is at the same instant as the one before. 0 where the second object ball was not met.
    """
    t, code = batch.contacts[:, :, 0], batch.contacts[:, :, 1].astype(np.int64)
    place = np.arange(code.shape[1])
    ball = (code >= BALL_CODE) & (place < batch.met[:, None])
    first = code[np.arange(len(code)), ball.argmax(axis=1)]
    other = ball & (code != first[:, None])
    rows = np.flatnonzero(other.any(axis=1))
    keys = np.zeros(len(code), np.uint64)
    t, code = t[rows], code[rows]
    digits = (code + 1).astype(np.uint64)
    digits[:, 1:][np.diff(t, axis=1) <= TIE] += np.uint64(8)
    digits[place > other[rows].argmax(axis=1)[:, None]] = 0
    keys[rows] = (digits << (4 * place).astype(np.uint64)).sum(axis=1, dtype=np.uint64)
    return keys


@lru_cache(maxsize=1 << 16)
def contacts_of_key(key: int) -> tuple[Contact, ...]:
    """Return the contacts that a key stands for."""
    met = []
    while key:
        digit, key = key & 15, key >> 4
        which, tie = (digit & 7) - 1, digit >= 8
        met.append(
            Contact(rail=RAILS[which], tie=tie)
            if which < BALL_CODE
            else Contact(ball=BALLS[which - BALL_CODE], tie=tie)
        )
    return tuple(met)


def _against(metres: np.ndarray, cue: int, table: TableParameters) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the balls and the rails that the cue ball lies against."""
    x, y = metres[cue].tolist()
    apart = np.hypot(*(metres - metres[cue]).T) - 2 * table.radius
    balls = tuple(name for at, name in enumerate(BALLS) if at != cue and apart[at] <= AGAINST)
    gaps = dict(zip(RAILS, (y, table.table_width - x, table.table_length - y, x), strict=True))
    return balls, tuple(rail for rail, gap in gaps.items() if gap - table.radius <= AGAINST)
