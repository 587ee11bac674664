"""Strokes without number: none may fail, hang, lose a ball or meet the bound on events.

Layouts of four sorts in equal parts: free, frozen to a ball, touching a rail, in a corner.
Strikes over the whole range that is played at all: 0.01 to 12 m/s, offsets up to 0.5.
"""

from __future__ import annotations

import argparse
import sys
import time

import numpy as np

from analytics.table.batches import play_strokes
from analytics.table.parameters import TableParameters

TABLE = TableParameters()
REACH = TABLE.radius / (TABLE.table_width / 4)
SIZE = np.array([4.0, 8.0])
A_LAYOUT = 250


def layout_at_random(draw: np.random.Generator, sort: int) -> dict[str, tuple[float, float]]:
    """Return a legal layout: free, frozen to a ball, touching a rail, or in a corner."""
    while True:
        balls = REACH + draw.random((3, 2)) * (SIZE - 2 * REACH)
        if sort == 1:
            turn = draw.uniform(0, 2 * np.pi)
            balls[1] = balls[0] + 2 * REACH * (1 + 1e-12) * np.array([np.cos(turn), np.sin(turn)])
        if sort >= 2:
            side = draw.integers(2, size=2)
            corner = np.where(side, SIZE - REACH, REACH)
            axis = draw.integers(2)
            balls[0, axis] = corner[axis]
            if sort == 3:
                balls[0] = corner
                balls[1, axis] = corner[axis]
        gaps = [np.hypot(*(balls[one] - balls[other])) for one, other in ((0, 1), (0, 2), (1, 2))]
        inside = ((balls >= REACH - 1e-12) & (balls <= SIZE - REACH + 1e-12)).all()
        if inside and min(gaps) >= 2 * REACH:
            return dict(zip(("white", "yellow", "red"), map(tuple, balls.tolist()), strict=True))


def strikes_at_random(draw: np.random.Generator, n: int) -> np.ndarray:
    offset, turn = 0.5 * np.sqrt(draw.random(n)), draw.uniform(0, 2 * np.pi, n)
    speed = np.where(draw.random(n) < 0.1, draw.uniform(0.01, 0.3, n), draw.uniform(0.3, 12, n))
    return np.column_stack([draw.uniform(0, 360, n), speed, offset * np.cos(turn), offset * np.sin(turn)])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--strokes", type=int, default=1_000_000)
    wanted = parser.parse_args().strokes
    draw = np.random.default_rng(20)
    unfinished = outside = overlapping = contacts = 0
    nearest, longest, most, played = np.inf, 0.0, 0, 0
    begun = time.perf_counter()
    while played < wanted:
        layout = layout_at_random(draw, (played // A_LAYOUT) % 4)
        batch = play_strokes(layout, "white", strikes_at_random(draw, A_LAYOUT), most=1)
        metres = batch.rest * batch.scale
        unfinished += int((~batch.complete).sum())
        edge = np.minimum(metres, SIZE * batch.scale - metres).min(axis=(1, 2))
        outside += int((edge < TABLE.radius - 1e-6).sum())
        gaps = np.min(
            [np.hypot(*(metres[:, one] - metres[:, other]).T) for one, other in ((0, 1), (0, 2), (1, 2))],
            axis=0,
        )
        overlapping += int((gaps < 2 * TABLE.radius - 1e-5).sum())
        nearest = min(nearest, float(gaps.min()) - 2 * TABLE.radius)
        longest, most = max(longest, float(batch.duration.max())), max(most, int(batch.met.max()))
        contacts += int(batch.met.sum())
        played += A_LAYOUT
        if sys.stderr.isatty():
            print(f"\r{played:,} of {wanted:,}", end="", file=sys.stderr)
    took = time.perf_counter() - begun
    print(f"{played:,} strokes in {took:.0f} s: {unfinished} past the bound on events, {outside} outside,")
    print(f"{overlapping} overlapping by more than 10 um (deepest {-min(nearest, 0.0) * 1e6:.2f} um),")
    print(f"longest {longest:.1f} s, {contacts / played:.2f} contacts a stroke, {most} at the most.")
    if unfinished or outside or overlapping:
        sys.exit(1)


if __name__ == "__main__":
    main()
