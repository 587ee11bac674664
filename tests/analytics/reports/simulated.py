"""Invented players as arrays, without a database: what the reports are tried on."""

from __future__ import annotations

import numpy as np
import pandas as pd

from analytics.reports.played import COUNTS, FOUL, MATCH_COLUMNS, MISS, POINT, STROKE, Played


def as_played(
    matches: list[list[int]], distance: int | None = None, opponents: list[int] | None = None
) -> Played:
    """Return matches given as lists of outcomes: 1 a point, 0 a miss; a last point ends by the distance."""
    records, of, rows = [], [], []
    for at, outcomes in enumerate(matches):
        inning, points, longest, run = 1, 0, 0, 0
        for place, outcome in enumerate(outcomes, start=2):
            records.append(
                (POINT if outcome else MISS, 1, inning, outcome, COUNTS, 255, 0, 0, place, np.nan, 0)
            )
            of.append(at)
            points += outcome
            run = run + 1 if outcome else 0
            longest = max(longest, run)
            inning += not outcome
        played = inning - (1 if outcomes and not outcomes[-1] else 0)
        rows.append(
            {
                "match": at + 1,
                "date": pd.Timestamp("2026-01-01") + pd.Timedelta(days=at),
                "competition": pd.NA,
                "table": 1,
                "opponent": opponents[at] if opponents else 2,
                "points": points,
                "innings": played,
                "high_run": longest,
                "distance": distance
                if distance is not None
                else points
                if outcomes and outcomes[-1]
                else 999,
                "outcome": "won" if outcomes and outcomes[-1] else "lost",
                "counted": True,
                "confirmed": True,
                "finished": True,
            }
        )
    frame = pd.DataFrame(rows, columns=[*MATCH_COLUMNS])
    for column in ("competition", "table", "distance"):
        frame[column] = frame[column].astype("Int64")
    return Played(frame, np.array(records, dtype=STROKE), np.array(of, dtype=np.int64))


def drawn(seed: int, matches: int, strokes: int, p: float) -> Played:
    """Return a player of constant success, each match ended by a miss."""
    rng = np.random.default_rng(seed)
    return as_played([[*(rng.random(strokes) < p).astype(int).tolist(), 0] for _ in range(matches)])


__all__ = ["FOUL", "as_played", "drawn"]
