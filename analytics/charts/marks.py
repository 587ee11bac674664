"""The marks that all figures are made of, in the house's look, and the paper they are drawn on.

Colours are names of style tokens; the browser puts the tokens themselves into the drawing, so that
light, dark and print need no other figure. Sizes in px.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from .chart import Text, days, floats

INK, SOFT, CLOTH, UMBER = "--ink", "--soft", "--cloth", "--umber"
RULE, FRAME, BAND, GROUND, SHEET = "--rule", "--frame", "--band", "--chart-ground", "--sheet"
# More than two series: colour, marker and dash, always all three.
SERIES = (
    ("--series-1", "circle", "solid"),
    ("--series-2", "square", "dash"),
    ("--ink", "diamond-open", "dot"),
    ("--series-4", "triangle-up", "dashdot"),
)

FONT = {"family": "var(--printed)", "size": 13, "color": INK}
HEAD = {"family": "var(--printed)", "size": 13, "color": CLOTH, "weight": 700}
FIGURE = {"family": "var(--figures)", "size": 15, "color": INK, "weight": 700}
QUIET = {"family": "var(--printed)", "size": 13, "color": SOFT}
ROW_WIDE, ROW_NARROW = 44, 62  # of interval rows: names beside the plot, names above their row

Trace = dict[str, Any]


def trace(x: Sequence[Any], y: Sequence[Any], **more: Any) -> Trace:
    """Return a scatter trace; give `mode` and what it is drawn with."""
    return {"type": "scatter", "x": days(x), "y": days(y), "cliponaxis": False, **more}


def line(x: Sequence[Any], y: Sequence[Any], colour: str = CLOTH, dash: str = "solid", **more: Any) -> Trace:
    """Return a line of 2 px; gaps stay where a value is missing."""
    drawn = {"color": colour, "width": 2, "dash": dash, **more.pop("line", {})}
    return trace(x, floats(y), mode="lines", line=drawn, connectgaps=False, **more)


def series(number: int, x: Sequence[Any], y: Sequence[Any], name: Text) -> Trace:
    """Return one of up to four lines: its own colour, marker and dash. Raises IndexError beyond them."""
    colour, symbol, dash = SERIES[number]
    marker = {"symbol": symbol, "size": 7, "color": colour, "maxdisplayed": 9, "line": {"color": colour}}
    drawn = {"color": colour, "width": 2, "dash": dash}
    return trace(x, floats(y), mode="lines+markers", line=drawn, marker=marker, connectgaps=False, name=name)


def band(x: Sequence[Any], low: Sequence[Any], high: Sequence[Any], shape: str = "linear") -> list[Trace]:
    """Return a band without outline between two edges; places where an edge is missing are left out."""
    kept = [
        (at, down, up)
        for at, down, up in zip(days(x), floats(low), floats(high), strict=True)
        if None not in (down, up)
    ]
    edge = {"width": 0, "shape": shape, "color": BAND}
    places = [at for at, _, _ in kept]
    return [
        trace(places, [down for _, down, _ in kept], mode="lines", line=edge),
        trace(places, [up for _, _, up in kept], mode="lines", line=edge, fill="tonexty", fillcolor=BAND),
    ]


def intervals(x_low: Sequence[Any], x_high: Sequence[Any], y: Sequence[Any]) -> list[Trace]:
    """Return lying intervals: a body of 12 px, and a soft tick at either end."""
    known = [one for one in zip(floats(x_low), floats(x_high), y, strict=True) if None not in one]
    middle = [(low + high) / 2 for low, high, _ in known]  # type: ignore[operator]
    half = [(high - low) / 2 for low, high, _ in known]  # type: ignore[operator]
    at = [one[2] for one in known]
    ends = [end for low, high, _ in known for end in (low, high)]
    tick = {"symbol": "line-ns", "size": 10, "color": SOFT, "line": {"color": SOFT, "width": 1.5}}
    body = {"type": "data", "array": floats(half), "color": BAND, "thickness": 12, "width": 0}
    return [
        trace(floats(middle), at, mode="markers", marker={"size": 1, "color": BAND}, error_x=body),
        trace(ends, [place for place in at for _ in (0, 1)], mode="markers", marker=tick),
    ]


def discs(x: Sequence[Any], y: Sequence[Any], **more: Any) -> Trace:
    """Return estimates: cloth discs."""
    return trace(x, y, mode="markers", marker={"symbol": "circle", "size": 13, "color": CLOTH}, **more)


def promises(x: Sequence[Any], y: Sequence[Any]) -> Trace:
    """Return what was promised: open umber lozenges, filled with the ground so that they read on a band."""
    lozenge = {"symbol": "diamond", "size": 14, "color": GROUND, "line": {"color": UMBER, "width": 2}}
    return trace(x, y, mode="markers", marker=lozenge)


def bars(x: Sequence[Any], y: Sequence[Any], colour: str = CLOTH, width: Any = 0.82) -> Trace:
    """Return bars; `width` in units of x."""
    drawn = {"color": colour, "line": {"width": 0}}
    return {"type": "bar", "x": days(x), "y": floats(y), "width": width, "marker": drawn}


def chance(x: Sequence[float], expected: Sequence[float], half: float = 0.46) -> list[Trace]:
    """Return what chance alone gives: an ink line across each bar, set off from it by a line of ground."""
    across = {"type": "constant", "value": half, "width": 0}
    nothing = {"size": 0.1, "color": GROUND}
    return [
        trace(x, floats(expected), mode="markers", marker=nothing, error_x=across | drawn)
        for drawn in ({"color": GROUND, "thickness": 6}, {"color": INK, "thickness": 2.5})
    ]


def above(x: Sequence[Any], y: Sequence[Any], texts: Sequence[Text], place: str = "top center") -> Trace:
    """Return figures that stand above their places."""
    return trace(x, floats(y), mode="text", text=list(texts), textposition=place, textfont=FIGURE)


def axis(title: Text | None = None, **more: Any) -> dict[str, Any]:
    """Return an axis: thin grid, an ink line at zero, soft figures, its head in cloth."""
    made: dict[str, Any] = {
        "gridcolor": RULE,
        "gridwidth": 1,
        "zeroline": True,
        "zerolinecolor": INK,
        "zerolinewidth": 1.5,
        "tickfont": QUIET,
        "fixedrange": True,
        "automargin": True,
        "ticklabelstandoff": 3,
    }
    if title is not None:
        made["title"] = {"text": title, "font": HEAD, "standoff": 8}
    return made | more


def paper(height: int, xaxis: dict[str, Any], yaxis: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Return a layout. `head` names the upright axis, above it, where it is read without turning the head.

    `narrow` is laid over the layout on a phone; `widest` keeps a drawing from growing.
    """
    head = more.pop("head", None)
    notes = list(more.pop("annotations", []))
    if head is not None:
        notes.append(note(head, 0, 1, xref="paper", yref="paper", yshift=14, font=HEAD, name="head"))
    meta = {name: more.pop(name) for name in ("narrow", "widest") if name in more}
    return {
        "height": height,
        "margin": {"l": 8, "r": 12, "t": 34 if head is not None else 14, "b": 8, "pad": 0},
        "font": FONT,
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "showlegend": False,
        "hovermode": False,
        "dragmode": False,
        "bargap": 0,
        "xaxis": xaxis,
        "yaxis": yaxis,
        "annotations": notes,
        **({"meta": meta} if meta else {}),
        **more,
    }


def note(text: Text, x: Any, y: Any, **more: Any) -> dict[str, Any]:
    """Return a text on the drawing, without an arrow; it begins at its place unless told otherwise."""
    given = {"text": text, "x": x, "y": y, "showarrow": False, "xanchor": "left", "yanchor": "middle"}
    return given | {"font": FONT, "bgcolor": "rgba(0,0,0,0)"} | more


def room_for_numbers(layout: dict[str, Any]) -> None:
    """Make room between the head of the upright axis and the plot, where numbers stand."""
    layout["margin"]["t"] += 20
    for one in layout["annotations"]:
        if one.get("name") == "head":
            one["yshift"] += 20


def upright(x: Any, colour: str = FRAME, dash: str = "dot") -> dict[str, Any]:
    """Return a thin line from the foot of the plot to its top."""
    return _rule(colour, dash) | {"x0": x, "x1": x, "yref": "paper", "y0": 0, "y1": 1}


def level(y: Any, colour: str = INK, dash: str = "solid") -> dict[str, Any]:
    """Return a thin line across the plot."""
    return _rule(colour, dash) | {"xref": "paper", "x0": 0, "x1": 1, "y0": y, "y1": y}


def _rule(colour: str, dash: str) -> dict[str, Any]:
    return {"type": "line", "layer": "above", "line": {"color": colour, "width": 1, "dash": dash}}


def numbered(
    places: Iterable[tuple[Any, Text]],
) -> tuple[list[dict[str, Any]], list[dict[str, Any]], list[Any]]:
    """Return thin lines with a number on top of each, and the list that says what the numbers mean."""
    shapes, notes, key = [], [], []
    for number, (at, meaning) in enumerate(places, 1):
        at = days([at])[0]
        shapes.append(upright(at))
        notes.append(
            note(
                str(number),
                at,
                1,
                yref="paper",
                yanchor="bottom",
                xanchor="center",
                font=FIGURE,
                name="number",
            )
        )
        key.append((str(number), meaning))
    return shapes, notes, key


def sides(names: tuple[Text, Text]) -> list[dict[str, Any]]:
    """Return the names of two players, one on top of the plot and one at its foot."""

    def side(name: Text, y: int, anchor: str, colour: str) -> dict[str, Any]:
        font = QUIET | {"weight": 700, "color": colour}
        place = {"xref": "paper", "yref": "paper", "xshift": 6, "yshift": -4 if y else 4}
        return note(name, 0, y, yanchor=anchor, font=font, bgcolor=GROUND, **place)

    return [side(names[0], 1, "top", CLOTH), side(names[1], 0, "bottom", UMBER)]
