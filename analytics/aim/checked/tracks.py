"""The tracks that are checked: whole numbers inside each system's zone, and the published sums.

The sums themselves come from the systems; here stands only which numbers are played. The
mirrors (one rail, two rails) print no numbers: whole numbers stand for their rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import product

from analytics.aim.diamonds.question import Answer, Question
from analytics.aim.diamonds.systems import SYSTEMS, answer
from scoring.rules.said import Malformed

# Speed [m/s], running side and height [radii]: ours, within what the systems presume. The
# corner's are those the simulated cushion was fitted with; the side of plus is what makes 3
# with aim 3 arrive at 6 on the heated match table, as its book says to fix it.
STROKES: Mapping[str, tuple[float, float, float]] = {
    "corner": (3.0, 0.3, 0.05),
    "plus": (3.0, 0.147, 0.0),
    "one-rail": (2.0, 0.0, 0.0),
    "two-rail": (2.5, 0.0, 0.0),
    "sid": (1.8, 0.0, 0.2),
    "half": (2.5, 0.0, 0.0),
    "base-30": (3.0, 0.4, 0.05),
}
# Which way running side turns the ball in the system's own place: left is negative.
TURNS = {"corner": -1, "base-30": -1, "plus": 1}
# The rails up to the one that carries the arrival, in the system's own place.
RAILS: Mapping[str, tuple[str, ...]] = {
    "corner": ("right", "top", "left"),
    "base-30": ("right", "top", "left"),
    "plus": ("top", "right", "left"),
    "one-rail": ("right", "left"),
    "two-rail": ("right", "top", "left"),
    "sid": ("top", "left"),
    "half": ("right", "left"),
}
# The cushion of the simulator was fitted to these: origin and aim.
FITTED = frozenset(
    {
        ("corner", *pair)
        for pair in (
            (5, 3),
            (5, 2),
            (5, 4),
            (5, 1),
            (4, 3),
            (4, 2),
            (3, 2),
            (3.5, 2),
            (6, 3),
            (7, 3),
            (7, 4),
            (4.5, 2),
            (6, 3.5),
        )
    }
    | {("plus", 3, 3)}
)
# The fourth rail is published for origins near the corner; here for the corner itself.
FOURTH_FROM = 5.0

Pair = tuple[float, float]


@dataclass(frozen=True)
class Track:
    """A sum to be played, in the system's own place.

    fourth : whether a place on the fourth rail is published for it. fitted : whether the
    simulated table was fitted to it, so that agreement proves nothing.
    """

    system: str
    answer: Answer
    fourth: bool
    fitted: bool

    @property
    def origin(self) -> float:
        return self.answer.origin or 0.0

    @property
    def aim(self) -> float:
        return self.answer.aim or 0.0

    @property
    def arrival(self) -> float:
        return self.answer.arrival or 0.0

    @property
    def key(self) -> str:
        """What names the track in an address: origin and aim."""
        return f"{self.origin:g}-{self.aim:g}"


# Corner: origins printed from 2 to 7, arrivals 0 to 4; the published sums with halves beside.
_CORNER_ORIGINS = (2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 6.0, 7.0)
_CORNER_BESIDE = ((4.5, 2.0), (4.5, 3.0), (5.0, 3.5), (6.0, 3.5), (3.5, 1.5), (3.5, 2.0))
# Plus: *Systems in Three Cushion* and the PoolDawg library print these beside whole numbers.
_PLUS_BESIDE = ((3.0, 2.5), (2.7, 3.8))


def _corner() -> Iterable[Pair]:
    for origin, arrival in product(_CORNER_ORIGINS, range(5)):
        if 0 <= origin - arrival <= 5 and arrival < origin:
            yield origin, origin - arrival
    yield from _CORNER_BESIDE


def _plus() -> Iterable[Pair]:
    for origin, aim in product(range(2, 7), range(1, 8)):
        if origin + aim <= 8:
            yield origin, aim
    yield from _PLUS_BESIDE


def _mirrors(system: str) -> Iterable[Pair]:
    """Give aims half-way between whole numbers, as far as the first leg runs up the table."""
    for origin, arrival in product(range(2, 9), range(1, 7)):
        if system == "one-rail" and arrival <= origin - 2 and (origin + arrival) % 2 == 0:
            yield origin, (origin + arrival) / 2
        elif system == "two-rail" and arrival <= origin - 2 and (origin - arrival) % 2 == 0:
            yield origin, (origin - arrival) / 2


def _pairs(system: str) -> Iterable[Pair]:
    if system == "corner":
        return _corner()
    if system == "plus":
        return _plus()
    if system == "sid":
        numbers = (1.0, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0)
        return [(origin, origin * number) for origin in (1.0, 2.0, 3.0) for number in numbers]
    if system == "half":
        return [(origin, origin / 2) for origin in range(1, 9)]
    if system == "base-30":
        return [(origin, 3.0) for origin in (3.5, 4.0, 4.5, 5.0)]
    return _mirrors(system)


def _has_fourth(told: Answer) -> bool:
    """Whether a place on the fourth rail is printed for the track, not worked out between two."""
    if told.points.get("fourth") is None:
        return False
    return told.system != "corner" or (told.origin == FOURTH_FROM and told.arrival in range(9))


@cache
def tracks(system: str) -> tuple[Track, ...]:
    """Return the tracks of a system by origin and arrival. Raises KeyError for none."""
    if system not in SYSTEMS:
        raise KeyError(system)
    found = {}
    for origin, aim in _pairs(system):
        try:
            told = answer(Question(system=system, origin=origin, aim=aim))
        except Malformed:
            # The system itself refuses the pair: the second rail would come first.
            continue
        found[origin, aim] = Track(
            system,
            told,
            fourth=_has_fourth(told),
            fitted=(system, origin, aim) in FITTED,
        )
    return tuple(sorted(found.values(), key=lambda one: (one.origin, one.arrival, one.aim)))
