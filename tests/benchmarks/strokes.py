"""Strokes a second: one and two threads, against uncompiled code, a general integrator and the floor.

Random strokes of 2 to 5 m/s to rest, in one run, in turn. The floor is what the events of a
stroke would cost if nothing but their own sums were done: moving the balls, the roots of
rails and pairs, the impacts, each timed alone.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from numba import njit

from analytics.table import cloth, cushion, impacts, roots, stroke
from analytics.table.batches import play_strokes
from analytics.table.parameters import TableParameters
from tests.benchmarks.enduring import layout_at_random

ROOT = Path(__file__).resolve().parents[2]
TABLE = TableParameters()
LAYOUTS, A_LAYOUT, ROUNDS = 20, 1000, 5
UNCOMPILED = """
import json, sys, time
from analytics.table.shots import Strike, play_stroke
asked = json.load(sys.stdin)
begun = time.perf_counter()
for layout, strikes in asked:
    for one in strikes:
        play_stroke(layout, "white", Strike(*one))
print(time.perf_counter() - begun)
"""
FIRST_STROKE = """
import time
begun = time.perf_counter()
from analytics import kernels
kernels.do_warm()
print(time.perf_counter() - begun)
"""


def strikes_at_random(draw: np.random.Generator, n: int) -> np.ndarray:
    return np.column_stack(
        [
            draw.uniform(0, 360, n),
            draw.uniform(2, 5, n),
            draw.uniform(-0.3, 0.3, n),
            draw.uniform(-0.3, 0.3, n),
        ]
    )


def seconds(questions, threads: int) -> float:
    begun = time.perf_counter()
    for layout, strikes in questions:
        play_strokes(layout, "white", strikes, threads=threads)
    return (time.perf_counter() - begun) / (len(questions) * A_LAYOUT)


@njit
def _moves(balls, drives, p, n):
    for at in range(n):
        cloth.advance(balls[at % 3], drives, 1e-9, p)


@njit
def _settling(balls, drives, p, n):
    for at in range(n):
        cloth.drive(balls[at % 3], cloth.settle(balls[at % 3], p), p, drives)


@njit
def _rails(n):
    found = 0.0
    for at in range(n):
        found += roots.rail_time(0.5 + 1e-9 * at, 1.0, -0.2)
    return found


@njit
def _pairs(balls, drives, p, c, marks, n):
    found = 0
    for at in range(n):
        if roots.pair_time(balls[0], balls[1], drives, drives, 0.0615, 0.2 + 1e-9 * at, c, marks) < 1.0:
            found += 1
    return found


@njit
def _rebounds(balls, kept, p, n):
    for at in range(n):
        balls[0] = kept[at % len(kept)]
        cushion.rebound(balls[0], 2, p, 0.95)


@njit
def _meetings(balls, kept, p, n):
    for at in range(n):
        balls[0] = kept[at % len(kept)]
        balls[1, 2:] = 0.0
        impacts.collide(balls[0], balls[1], p, 0.95)


def each(kernel, *given) -> float:
    """Return the seconds of one call among many."""
    n = 200_000
    kernel(*given, 10)
    taken = []
    for _ in range(3):
        begun = time.perf_counter()
        kernel(*given, n)
        taken.append(time.perf_counter() - begun)
    return min(taken) / n


def parts() -> dict[str, float]:
    """Return the seconds of each part of an event."""
    p, draw = TABLE.as_array(), np.random.default_rng(3)
    balls = np.zeros((3, 7))
    balls[:, :2] = (0.4, 0.5), (0.4, 0.5615), (0.9, 2.0)
    balls[:, 2:4] = (1.0, 1.0), (-0.5, 0.7), (0.2, 0.1)
    apart = balls.copy()
    apart[1, :2] = 1.0, 2.0
    kept = np.zeros((500, 7))
    kept[:, :2] = balls[0, :2]
    kept[:, 2], kept[:, 3] = draw.uniform(-2, 2, 500), draw.uniform(0.5, 3, 500)
    kept[:, 4:] = draw.uniform(-60, 60, (500, 3))
    drives = np.array([-0.1, -0.1, 1.0, 1.0])
    return {
        "move": each(_moves, balls.copy(), drives, p),
        "settle": each(_settling, balls.copy(), drives, p),
        "rail": each(_rails),
        "pair": each(_pairs, apart, drives, p, np.zeros(5), np.zeros(8)),
        "rebound": each(_rebounds, balls.copy(), kept, p),
        "meeting": each(_meetings, balls.copy(), kept, p),
    }


def events_of(questions) -> tuple[float, float, float]:
    """Return events, rebounds and meetings of balls a stroke, all balls counted."""
    counted = {"rebound": 0, "collide": 0, "end_state": 0}
    kept = {name: getattr(stroke, name) for name in counted}
    for name, kernel in kept.items():

        def count(*given, name=name, kernel=kernel):
            counted[name] += 1
            return kernel(*given)

        setattr(stroke, name, count)
    played = 0
    for layout, strikes in questions[:5]:
        for one in strikes[:40].tolist():
            balls = np.zeros((3, 7))
            for at, name in enumerate(("white", "yellow", "red")):
                balls[at, :2] = (
                    layout[name][0] * TABLE.table_width / 4,
                    layout[name][1] * TABLE.table_length / 8,
                )
            p = TABLE.as_array()
            stroke.strike(balls, 0, *one, p)
            room = np.zeros((200, 4)), np.zeros((3, 0, 7)), np.zeros(3, np.int64)
            stroke.play.py_func(balls, 0, p, *room, np.zeros(3), np.zeros(stroke.SCRATCH), False)
            played += 1
    for name, kernel in kept.items():
        setattr(stroke, name, kernel)
    return sum(counted.values()) / played, counted["rebound"] / played, counted["collide"] / played


def reference(questions) -> float:
    """Return the seconds a stroke of the general-purpose integrator of the tests."""
    from tests.published.reference import reference_stroke

    taken = []
    for layout, strikes in questions[:4]:
        direction, speed, side, height = strikes[0].tolist()
        begun = time.perf_counter()
        reference_stroke(layout, "white", direction, speed, side, height, TABLE)
        taken.append(time.perf_counter() - begun)
    return statistics.mean(taken)


def in_process(script: str, asked: str = "", **settings: str) -> float:
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=ROOT,
        env={**os.environ, **settings},
        input=asked,
        capture_output=True,
        text=True,
        check=True,
    )
    return float(done.stdout)


def main() -> None:
    draw = np.random.default_rng(11)
    questions = [(layout_at_random(draw, 0), strikes_at_random(draw, A_LAYOUT)) for _ in range(LAYOUTS)]
    seconds(questions[:1], 1)
    one, two = [], []
    for _ in range(ROUNDS):
        one.append(seconds(questions, 1))
        two.append(seconds(questions, 2))
    alone, both = statistics.median(one), statistics.median(two)
    print(f"one thread   {alone * 1e6:8.1f} us a stroke {1 / alone:12,.0f} strokes a second")
    print(
        f"two threads  {both * 1e6:8.1f} us a stroke {1 / both:12,.0f} strokes a second, {alone / both:.2f} times one"
    )
    few = [(layout, strikes[:10].tolist()) for layout, strikes in questions]
    plain = in_process(UNCOMPILED, json.dumps(few), NUMBA_DISABLE_JIT="1") / (10 * LAYOUTS)
    print(f"uncompiled   {plain * 1e6:8.0f} us a stroke, {plain / alone:,.0f} times")
    general = reference(questions)
    print(f"integrator   {general * 1e6:8.0f} us a stroke, {general / alone:,.0f} times")
    events, rebounds, meetings = events_of(questions)
    cost = parts()
    print("an event's parts [ns]: " + ", ".join(f"{name} {value * 1e9:.0f}" for name, value in cost.items()))
    # An event moves two balls to now, settles one, asks four rails and two pairs.
    sums = events * (3 * cost["move"] + cost["settle"] + 4 * cost["rail"] + 2 * cost["pair"])
    hits = rebounds * cost["rebound"] + meetings * cost["meeting"]
    print(
        f"floor        {(sums + hits) * 1e6:8.1f} us a stroke: {events:.1f} events {sums * 1e6:.1f}, "
        f"{rebounds:.1f} rebounds and {meetings:.1f} meetings {hits * 1e6:.1f}; {alone / (sums + hits):.2f} times it"
    )
    with tempfile.TemporaryDirectory() as folder:
        cold = in_process(FIRST_STROKE, NUMBA_CACHE_DIR=folder)
        warm = statistics.median(in_process(FIRST_STROKE, NUMBA_CACHE_DIR=folder) for _ in range(3))
    print(f"first stroke of a process: {cold:.1f} s with nothing kept, {warm:.2f} s with kernels on disk")
    print(f"memory       {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB at the most")


if __name__ == "__main__":
    main()
