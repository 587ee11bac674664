"""Where a system can be trusted on a table: its tracks by how far off they arrive."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from .playing import Checked

# A quarter of a diamond still hits nearly always, half a diamond seldom (see each sum's window).
NEAR, OFF = 0.25, 0.5
GRADES = ("near", "off", "far", "lost")
# What is gained by rounding to what is shown, so that words and figures agree.
_SLACK = 0.005


def grade(residual: float | None) -> str:
    """Return near, off or far by the residual [diamonds]; lost where other rails came first."""
    if residual is None:
        return "lost"
    size = abs(residual)
    return "near" if size < NEAR + _SLACK else "off" if size < OFF + _SLACK else "far"


@dataclass(frozen=True)
class Trust:
    """What the tracks of a system say together.

    counts, fourth : tracks by grade, of the arrival and of the fourth rail. by : the number,
    origin or arrival, that tells best where the system holds. trusted, doubted : its values
    whose tracks all arrive near, and of whose tracks half or more arrive far or not at all.
    worst : the largest residual [diamonds] among the doubted. fitted : how many tracks the
    simulated table was fitted to.
    """

    total: int
    counts: dict[str, int]
    fourth: dict[str, int]
    fitted: int
    by: str
    trusted: tuple[float, ...]
    doubted: tuple[float, ...]
    worst: float
    mean_size: float


def judge(found: Sequence[Checked]) -> Trust:
    """Return where the numbers hold, from all tracks of one system."""
    by = max(("origin", "arrival"), key=lambda name: (_settled(found, name), name == "origin"))
    groups = _groups(found, by)
    trusted = tuple(value for value, rows in groups.items() if _all_near(rows))
    doubted = tuple(
        value
        for value, rows in groups.items()
        if 2 * sum(grade(one.residual) in ("far", "lost") for one in rows) >= len(rows)
    )
    sizes = [abs(one.residual) for one in found if one.residual is not None]
    return Trust(
        total=len(found),
        counts=_counted(found, lambda one: one.residual),
        fourth=_counted(
            [one for one in found if one.book_fourth is not None], lambda one: one.fourth_residual
        ),
        fitted=sum(one.track.fitted for one in found),
        by=by,
        trusted=trusted,
        doubted=doubted,
        worst=max(
            (abs(one.residual) for value in doubted for one in groups[value] if one.residual is not None),
            default=0.0,
        ),
        mean_size=sum(sizes) / len(sizes) if sizes else 0.0,
    )


def _groups(found: Sequence[Checked], by: str) -> dict[float, list[Checked]]:
    groups: dict[float, list[Checked]] = {}
    for one in sorted(found, key=lambda one: getattr(one.track, by)):
        groups.setdefault(getattr(one.track, by), []).append(one)
    return groups


def _settled(found: Sequence[Checked], by: str) -> int:
    """Return how many tracks stand in groups that all arrive near, or all do not."""
    return sum(
        len(rows)
        for rows in _groups(found, by).values()
        if _all_near(rows) or all(grade(one.residual) != "near" for one in rows)
    )


def _all_near(rows: Sequence[Checked]) -> bool:
    return all(grade(one.residual) == "near" for one in rows)


def _counted(found: Sequence[Checked], of: Callable[[Checked], float | None]) -> dict[str, int]:
    grades = [grade(of(one)) for one in found]
    return {name: grades.count(name) for name in GRADES}
