"""Every chart, of invented numbers: what the tests judge and a page in a browser shows."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from math import cos, sin, sqrt

from analytics.charts import (
    AverageRow,
    Block,
    Chart,
    FamilyRow,
    GainRow,
    PracticeRow,
    PupilRow,
    WayRow,
    averages_compared,
    averages_of_players,
    averages_together,
    chance_by_distance,
    families,
    lead,
    match_lengths,
    matches_a_week,
    moving_average,
    points_gained,
    practice_gain,
    pupils_lately,
    reliability,
    run_histogram,
    run_strip,
    run_tail,
    spread_through_time,
    ways_to_miss,
    win_probability,
)
from scoring.rules.said import said

NAMES = ("Vilemeer", "Oudekerk-Zandstra")
WHITE = (0, 2, 0, 1, 0, 0, 5, 0, 1, 0, 3, 0, 0, 0, 1, 0, 2, 0, 0, 7, 0, 0, 1, 0, 0, 4, 0, 3)
YELLOW = (1, 0, 0, 3, 0, 1, 0, 0, 0, 2, 0, 6, 0, 1, 0, 0, 0, 1, 2, 0, 0, 0, 3, 0, 1, 0, 0)
P = 0.455


def leads() -> list[int]:
    found, now = [], 0
    for at, run in enumerate(WHITE):
        now += run - (YELLOW[at] if at < len(YELLOW) else 0)
        found.append(now)
    return found


def run_charts() -> list[Chart]:
    innings = (117, 52, 24, 12, 5, 2, 1, 1)
    law = [214 * (1 - P) * P**run for run in range(7)] + [214 * P**7]
    tail = [sum(innings[run:]) for run in range(8)]
    return [
        run_histogram(
            innings,
            law,
            finding=said(
                "The runs look like those of a player without streaks. %(innings)s innings could not show a small effect.",
                innings=214,
            ),
        ),
        run_tail(tail, [P**run for run in range(8)]),
        run_strip(WHITE, YELLOW, NAMES),
        lead(leads(), NAMES, turns=[(20, said("run of 7"))]),
    ]


def average_charts() -> list[Chart]:
    at = list(range(25, 215, 3))
    average = [0.84 + 0.15 * sin(one / 22) for one in at]
    room = [1.0 / sqrt(25) for _ in at]
    edges = [0.2 * one for one in range(9)]
    rows = [
        AverageRow("Winter league", 94, 102, Fraction(94, 102), 0.71, 1.19),
        AverageRow("Kollum Open & <b>friends</b>", 61, 84, Fraction(61, 84), 0.52, 1.0),
        AverageRow("Handicap cup of the northern clubs", 19, 21, Fraction(19, 21), 0.51, 1.6),
        AverageRow("Friendly", 5, 7, Fraction(5, 7)),
    ]
    return [
        moving_average(
            at,
            average,
            [one - gap for one, gap in zip(average, room, strict=True)],
            [one + gap for one, gap in zip(average, room, strict=True)],
            window=25,
            general=Fraction(179, 214),
            marks=[(31, "Winter league"), (120, "Kollum Open"), (176, "Handicap cup")],
        ),
        averages_compared(rows, said("Competition"), general=Fraction(179, 214)),
        averages_together(
            at,
            [
                (name, [base + 0.12 * sin(one / 20 + base * 9) for one in at])
                for name, base in (("Vilemeer", 0.84), ("Oudekerk", 0.55), ("Tamboer", 0.42), ("Hulst", 1.1))
            ],
            window=25,
        ),
        averages_of_players(edges, [1, 4, 9, 7, 5, 0, 2, 1], own=0.836),
    ]


def family_charts() -> list[Chart]:
    early = said("Too early to tell; about 250 more would.")
    rows = [
        FamilyRow(
            said("around the table"),
            112,
            66,
            0.57,
            0.5,
            0.65,
            0.47,
            said("More than promised: 66, promised 53."),
        ),
        FamilyRow(
            said("short angle"),
            104,
            37,
            0.37,
            0.3,
            0.445,
            0.47,
            said("Fewer than promised: 37, promised 49."),
        ),
        FamilyRow(said("long angle"), 62, 29, 0.46, 0.37, 0.55, 0.44, early),
        FamilyRow(said("bank"), 24, 8, 0.36, 0.25, 0.485, 0.33, early),
        FamilyRow(said("double rail"), 14, 5, promised=0.4),
        FamilyRow(said("ticky"), 5, 2, promised=0.31),
    ]
    gained = [
        GainRow(said("around the table"), 112, 11.4, 3.1, 19.2, said("More than promised.")),
        GainRow(said("short angle"), 104, -11.6, -19.0, -3.3, said("Fewer than promised.")),
        GainRow(said("long angle"), 62, 2.7, -7.6, 13.0, early),
        GainRow(said("ticky"), 5),
    ]
    worth = [
        PracticeRow(said("around the table"), 120, 0.03, 0.0, 0.09, 0.07),
        PracticeRow(said("short angle"), 100, 0.057, 0.01, 0.12, 0.24),
        PracticeRow(said("long angle"), 80, 0.069, 0.01, 0.14, 0.35),
        PracticeRow(said("rail first"), 40, 0.072, 0.005, 0.15, 0.34),
    ]
    return [families(rows, unrecorded=(51, 24)), points_gained(gained), practice_gain(worth)]


def trust_charts() -> list[Chart]:
    blocks = [
        Block(0.06, 0.18, 60, 9),
        Block(0.18, 0.33, 110, 29),
        Block(0.33, 0.47, 140, 57),
        Block(0.47, 0.66, 120, 63),
        Block(0.66, 0.88, 40, 33),
    ]
    at = [0.06 + 0.82 * one / 40 for one in range(41)]
    half = [0.05 + 0.05 * (1 + cos(7 * one)) for one in at]
    low = [max(0.0, one - gap) for one, gap in zip(at, half, strict=True)]
    high = [min(1.0, one + gap) for one, gap in zip(at, half, strict=True)]
    edges = [one / 20 for one in range(21)]
    strokes = [0, 6, 14, 28, 40, 44, 50, 58, 54, 46, 40, 32, 26, 14, 8, 6, 3, 1, 0, 0]
    weeks = [date(2026, 3, 2) + timedelta(days=14 * one) for one in range(18)]
    spread = [1.35 - 0.3 * one / 17 for one in range(18)]
    gap = [0.5 / sqrt(one + 1) + 0.08 for one in range(18)]
    return [
        reliability(blocks, at, low, high, (edges, strokes)),
        spread_through_time(
            weeks,
            spread,
            [one - room for one, room in zip(spread, gap, strict=True)],
            [one + room for one, room in zip(spread, gap, strict=True)],
            [25 * (one + 1) for one in range(18)],
        ),
    ]


def chance_charts() -> list[Chart]:
    chance = [0.5]
    for at, now in enumerate(leads(), 1):
        chance.append(max(0.02, min(0.98, 0.5 + 0.012 * now * (1 + at / 14))))
    distances = list(range(12, 31))
    falling = [1 / (1 + 2.718 ** ((one - 20.2) * 0.28)) for one in distances]
    return [
        win_probability(
            chance,
            NAMES,
            low=[max(0.0, one - 0.16) for one in chance],
            high=[min(1.0, one + 0.16) for one in chance],
            turns=[(20, said("run of 7"))],
        ),
        chance_by_distance(
            distances,
            falling,
            NAMES,
            against=30,
            low=[max(0.0, one - 0.12) for one in falling],
            high=[min(1.0, one + 0.12) for one in falling],
            fair=20,
            rules=[(17, said("average times 30")), (25, said("average times 30, at least 25"))],
        ),
    ]


def season_charts() -> list[Chart]:
    weeks = [date(2026, 1, 5) + timedelta(days=7 * one) for one in range(40)]
    return [
        matches_a_week(weeks, [max(0, round(6 + 5 * sin(one / 4))) for one in range(40)]),
        match_lengths(30, (3, 11, 18, 9, 4, 1), width=15, median=61.0),
    ]


def coach_charts() -> list[Chart]:
    rows = [
        PupilRow("Vilemeer", 24, Fraction(61, 100), 0.45, 0.83, Fraction(52, 100)),
        PupilRow("Oudekerk-Zandstra", 7, Fraction(48, 100), 0.31, 0.72),
        PupilRow("Sembray", 1, Fraction(2, 5)),
    ]
    ways = [WayRow("short", 18, 0.5, 0.37, 0.63), WayRow("thin", 18, 0.5, 0.37, 0.63)]
    return [pupils_lately(rows, window=10), ways_to_miss(ways, 36)]


def all_charts() -> list[Chart]:
    """Return one chart of each kind."""
    return [
        *run_charts(),
        *average_charts(),
        *family_charts(),
        *trust_charts(),
        *chance_charts(),
        *season_charts(),
        *coach_charts(),
    ]
