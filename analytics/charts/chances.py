"""Chances between two players: through a match, and by the distance each plays to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scoring.rules.said import said

from .chart import Chart, Column, Num, Text, chart, undefined
from .marks import INK, axis, band, discs, level, line, note, numbered, paper, room_for_numbers, sides


def win_probability(
    chance: Sequence[float],
    names: tuple[Text, Text],
    *,
    low: Sequence[Any] | None = None,
    high: Sequence[Any] | None = None,
    level_of: int = 90,
    turns: Sequence[tuple[int, Text]] = (),
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the chance that the first player wins, before the match and after each inning.

    `chance[0]` is before the first inning; a draw counts half. `low` and `high` bound it where the
    averages are not well known. `turns`: innings to mark, each with what happened there.
    """
    if not chance:
        raise ValueError("no chances")
    at = list(range(len(chance)))
    ranged = low is not None and high is not None
    data = band(at, _hundred(low or ()), _hundred(high or ())) if ranged else []
    data.append(line(at, _hundred(chance), line={"shape": "linear"}))
    shapes, notes, key = numbered(turns)
    layout = paper(
        310,
        axis(said("inning"), range=[0, max(1, at[-1])], nticks=11, showgrid=False) | {"zeroline": False},
        axis(range=[0, 100], tickvals=[0, 25, 50, 75, 100]),
        head=said("chance to win, of 100"),
        shapes=[level(50), *shapes],
        annotations=[
            *sides(names),
            *notes,
        ],
    )
    if turns:
        room_for_numbers(layout)
    columns = [
        Column("inning", said("After inning"), "count"),
        Column("chance", said("%(name)s wins, of 100", name=names[0]), "percent"),
        Column("low", said("From"), "percent"),
        Column("high", said("To"), "percent"),
    ]
    rows = list(zip(at, chance, low or at, high or at, strict=True))
    return chart(
        "win-probability",
        title=title or said("Who was likely to win"),
        finding=finding
        or said(
            "Before the match %(name)s had about %(chance)s chances in 100.",
            name=names[0],
            chance=Num(chance[0], "percent"),
        ),
        counts=counts or said("%(innings)s innings", innings=len(chance) - 1),
        figure={"data": data, "layout": layout},
        columns=columns if ranged else columns[:2],
        rows=[row if ranged else row[:2] for row in rows],
        text=said(
            "From the two averages under the match's own format; a draw counts half. "
            "Near the top %(first)s wins, near the foot %(second)s.",
            first=names[0],
            second=names[1],
        ),
        key=(
            ("line-a", said("chance of %(name)s", name=names[0])),
            *(
                (("band", said("range for averages that are known so well: %(many)s in 100", many=level_of)),)
                if ranged
                else ()
            ),
            *key,
        ),
    )


def chance_by_distance(
    distances: Sequence[int],
    chance: Sequence[float],
    names: tuple[Text, Text],
    *,
    against: int,
    low: Sequence[Any] | None = None,
    high: Sequence[Any] | None = None,
    fair: int | None = None,
    rules: Sequence[tuple[int, Text]] = (),
    level_of: int = 90,
    title: Text = None,
    finding: Text = None,
    counts: Text = None,
) -> Chart:
    """Return the chance of the first player by the first one's distance, the second playing to `against`.

    `fair`: the distance at which the chance is nearest to even; `rules`: distances that rules of
    thumb give, each with its name.
    """
    ranged = low is not None and high is not None
    data = band(distances, _hundred(low or ()), _hundred(high or ())) if ranged else []
    data.append(line(distances, _hundred(chance)))
    shapes, notes, key = numbered(rules)
    if fair is not None and fair in distances:
        even = 100 * chance[list(distances).index(fair)]
        data.append(discs([fair], [even]))
        notes.append(
            note(
                said("nearest to even: %(distance)s", distance=fair),
                fair,
                even,
                xshift=12,
                yshift=14,
                name="point",
            )
        )
    layout = paper(
        310,
        axis(said("distance of %(name)s", name=names[0]), range=[distances[0], distances[-1]], nticks=9)
        | {"showgrid": False, "zeroline": False},
        axis(range=[0, 100], tickvals=[0, 25, 50, 75, 100]),
        head=said("chance to win, of 100"),
        shapes=[level(50, INK), *shapes],
        annotations=notes,
    )
    if rules:
        room_for_numbers(layout)
    ruled: dict[int, Text] = {}
    for distance, rule in rules:
        ruled.setdefault(distance, rule)
    columns = [
        Column("distance", said("Distance"), "count"),
        Column("chance", said("%(name)s wins, of 100", name=names[0]), "percent"),
        Column("low", said("From"), "percent"),
        Column("high", said("To"), "percent"),
        Column("rule", said("Rule")),
    ]
    kept = [0, 1, 2, 3, 4] if ranged else [0, 1, 4]
    rows = [
        (distance, share, down, up, ruled.get(distance, ""))
        for distance, share, down, up in zip(
            distances, chance, low or distances, high or distances, strict=True
        )
    ]
    return chart(
        "chance-by-distance",
        title=title or said("Fair distances"),
        finding=finding or _even_at(names, against, fair),
        counts=counts or said("%(name)s plays to %(distance)s", name=names[1], distance=against),
        figure={"data": data, "layout": layout},
        columns=[columns[at] for at in kept],
        rows=[tuple(row[at] for at in kept) for row in rows],
        text=said("The chance is even where the line crosses 50; a draw counts half."),
        key=(
            ("line-a", said("chance of %(name)s", name=names[0])),
            *(
                (("band", said("range for averages that are known so well: %(many)s in 100", many=level_of)),)
                if ranged
                else ()
            ),
            *key,
        ),
    )


def _even_at(names: tuple[Text, Text], against: int, fair: int | None) -> Text:
    if fair is None:
        return said("None of these distances is nearly even.")
    return said(
        "Nearest to even: %(first)s to %(distance)s against %(second)s to %(against)s.",
        first=names[0],
        distance=fair,
        second=names[1],
        against=against,
    )


def _hundred(values: Sequence[Any]) -> list[float | None]:
    return [None if undefined(value) else 100 * float(value) for value in values]
