"""How two neighbours of a ranking were compared, criterion by criterion, down to the one that decided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .ranking import Lots, Row, Value, ratio_of, value_of

Ratio = tuple[int, int] | None


@dataclass(frozen=True)
class Step:
    """A criterion: both values, exactly; decides: they differ; needed: nothing before it decided.

    ratios: what is divided by what on either side, as it was added up, where the criterion is a share.
    """

    criterion: str
    better: Value = None
    worse: Value = None
    decides: bool = False
    needed: bool = True
    ratios: tuple[Ratio, Ratio] = (None, None)

    @property
    def products(self) -> tuple[tuple[int, int], tuple[int, int]] | None:
        """Both shares multiplied crosswise, (numerator, the other's denominator); None for no two shares."""
        one, other = self.ratios
        if one is None or other is None or not one[1] or not other[1]:
            return None
        return (one[0], other[1]), (other[0], one[1])


def steps_between(
    upper: Row,
    lower: Row,
    rows: Sequence[Row],
    order: Sequence[str],
    *,
    restart: bool = False,
    lots: Lots = (),
) -> list[Step]:
    """Return every step of the comparison of two rows of a table; those that were not needed come last.

    With `restart` a criterion may come again, counted over fewer.
    """
    steps: list[Step] = []
    tied, place = list(rows), 0
    while place < len(order):
        name = order[place]
        better, worse = value_of(name, upper, tied, lots), value_of(name, lower, tied, lots)
        ratios = ratio_of(name, upper, tied), ratio_of(name, lower, tied)
        steps.append(Step(name, better, worse, better != worse, ratios=ratios))
        if better != worse:
            return steps + [Step(left, needed=False) for left in order[place + 1 :]]
        equal = [row for row in tied if value_of(name, row, tied, lots) == better]
        place = 0 if restart and len(equal) < len(tied) else place + 1
        tied = equal
    return steps
