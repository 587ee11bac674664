"""A described stroke as a line to draw: where the balls lay is told, where the rails were met is not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

WIDTH, LENGTH = 4.0, 8.0
BALL = 0.0866
# A drawn contact keeps this far from the corners [diamonds].
CORNER = 0.3

Point = tuple[float, float]


def route(
    contacts: Sequence[Mapping[str, Any]], cue: str, layout: Mapping[str, Any]
) -> tuple[dict[str, Point], list[dict[str, Any]]]:
    """Return (balls, line): each contact with a place `at` [diamonds], from a told layout.

    Contacts are told without places. Between two balls the way is the straight one in the
    mirror: the target is reflected in each rail, last first.
    """
    balls: dict[str, Point] = {ball: (float(at[0]), float(at[1])) for ball, at in layout.items()}
    at = balls[cue]
    line: list[dict[str, Any]] = []
    rails: list[str] = []
    for one in contacts:
        if one.get("rail"):
            rails.append(one["rail"])
            continue
        target = _beside(balls.get(one["ball"], (WIDTH / 2, LENGTH / 2)), at)
        legs = _bounced(at, target, rails)
        line += [{"rail": rail, "at": place} for rail, place in zip(rails, legs, strict=True)]
        line.append({"ball": one["ball"], "at": target})
        at, rails = target, []
    if rails:
        legs = _bounced(at, (WIDTH / 2, LENGTH / 2), rails)
        line += [{"rail": rail, "at": place} for rail, place in zip(rails, legs, strict=True)]
    return balls, line


def _beside(ball: Point, come_from: Point) -> Point:
    """Return the cue ball's centre when it meets a ball, coming from a point."""
    dx, dy = come_from[0] - ball[0], come_from[1] - ball[1]
    far = (dx * dx + dy * dy) ** 0.5 or 1.0
    return (ball[0] + dx / far * 2 * BALL, ball[1] + dy / far * 2 * BALL)


def _bounced(start: Point, target: Point, rails: Sequence[str]) -> list[Point]:
    """Return where the way from `start` to `target` meets each rail in turn."""
    images = [target]
    for rail in reversed(rails):
        images.append(_mirrored(images[-1], rail))
    places = []
    at = start
    for rail, image in zip(rails, reversed(images[1:]), strict=True):
        at = _meeting(at, image, rail)
        places.append(at)
    return places


def _line_of(rail: str) -> tuple[int, float]:
    """Return (axis, coordinate) of the cue ball's centre at a rail."""
    return {
        "left": (0, BALL),
        "right": (0, WIDTH - BALL),
        "bottom": (1, BALL),
        "top": (1, LENGTH - BALL),
    }[rail]


def _mirrored(point: Point, rail: str) -> Point:
    axis, at = _line_of(rail)
    x, y = point
    return (2 * at - x, y) if axis == 0 else (x, 2 * at - y)


def _meeting(start: Point, image: Point, rail: str) -> Point:
    axis, at = _line_of(rail)
    run = image[axis] - start[axis]
    share = (at - start[axis]) / run if abs(run) > 1e-9 else 0.5
    other = 1 - axis
    along = start[other] + (image[other] - start[other]) * min(max(share, 0.0), 1.0)
    along = min(max(along, CORNER), (WIDTH, LENGTH)[other] - CORNER)
    return (at, along) if axis == 0 else (along, at)
