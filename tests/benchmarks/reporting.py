"""A player's report among strokes of others: the page, the call, the figures, and where the time goes.

Beside it, in the same run, the same plain figures from DuckDB over rows that were fetched, and from
the product's database by one query.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable
from typing import Any

from tests.benchmarks.bench import database, interleaved, tell

SIZES = (1_020, 10_020, 100_020)
TIMES = 9
GOAL = 0.3


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--others", type=int, default=1_000_000, help="strokes of others at the end")
    others = options.parse_args().others
    with database():
        from scoring.models import Club
        from tests.benchmarks import seasons

        Club.objects.the_first()
        for size in SIZES:
            one, other = seasons.players(2)
            seasons.fill(one, other, size, size, predicted=True)
            measure(one, f"{size:,} strokes")
        strangers = seasons.players(20)
        for at in range(0, len(strangers), 2):
            seasons.fill(strangers[at], strangers[at + 1], others // len(strangers), at, predicted=False)
        measure(one, f"{size:,} strokes among {others:,} of others")


def measure(player, name: str) -> None:
    """Take turns between the page, the call, the figures alone, and both references."""
    from django.contrib.auth import get_user_model
    from django.test import Client

    owner, _ = get_user_model().objects.get_or_create(username="owner", is_superuser=True)
    client = Client()
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")

    def fetch(address: str) -> None:
        assert client.get(address).status_code == 200

    first = time.perf_counter()
    figures(player)
    print(f"\n{name}: read for the first time in {time.perf_counter() - first:.2f} s")
    page, call, alone, duck, plain = interleaved(
        TIMES,
        lambda: fetch(f"/players/{player.pk}/report/"),
        lambda: fetch(f"/api/players/{player.pk}/report/"),
        lambda: figures(player),
        lambda: by_duckdb(player),
        lambda: by_query(player),
        warm=1,
    )
    whole = tell("page", page)
    tell("call", call)
    own = tell("figures", alone)
    both = {"DuckDB over fetched rows": tell("DuckDB", duck), "one query": tell("one query", plain)}
    for reference, seconds in both.items():
        print(f"figures / {reference}: {own / seconds:.2f}; page / {reference}: {whole / seconds:.2f}")
    print(f"page: {1000 * whole:.0f} ms (goal: below {1000 * GOAL:.0f})")
    for part, seconds in parts(player):
        print(f"  {part:<12}{1000 * seconds:7.1f} ms")


def figures(player) -> dict:
    """Return the call's answer, without the call."""
    from analytics.api.report import show_report
    from analytics.played.asked import Asked
    from analytics.report import read_report

    return show_report(read_report(player, Asked(discipline="three-cushion")))


def by_duckdb(player) -> tuple:
    """Fetch the strokes, hand them to DuckDB, and return points, innings, runs and families."""
    import duckdb
    import pandas as pd

    from scoring.models import StrokeProjection

    rows = StrokeProjection.objects.filter(player=player, counts=True, extra=False).values_list(
        "match", "inning", "kind", "run", "family_tried"
    )
    strokes = pd.DataFrame.from_records(list(rows), columns=["match", "inning", "kind", "run", "family"])
    with duckdb.connect() as base:
        base.execute("SET threads TO 1")
        base.register("strokes", strokes)
        runs = base.execute(
            "SELECT run, count(*) FROM (SELECT sum(run) AS run FROM strokes GROUP BY match, inning) GROUP BY run"
        ).fetchall()
        families = base.execute(
            "SELECT family, count(*), sum((kind = 'point')::INT) FROM strokes GROUP BY family"
        ).fetchall()
    return len(strokes), sorted(runs), sorted(families)


def by_query(player) -> list:
    """Return innings by run and strokes by family, by one query in the product's database."""
    from django.db import connection

    from scoring.models import StrokeProjection

    table = StrokeProjection._meta.db_table
    chosen = f"SELECT * FROM {table} WHERE player_id = %s AND counts AND NOT extra"
    with connection.cursor() as cursor:
        cursor.execute(
            f"""WITH own AS ({chosen}),
                runs AS (SELECT sum(run) AS run FROM own GROUP BY match_id, inning)
            SELECT 'run', CAST(run AS text), count(*), 0 FROM runs GROUP BY run
            UNION ALL SELECT 'family', family_tried, count(*), sum(CASE kind WHEN 'point' THEN 1 ELSE 0 END)
            FROM own GROUP BY family_tried""",
            [player.pk],
        )
        return cursor.fetchall()


def parts(player) -> list[tuple[str, float]]:
    """Return the median seconds of each part of a report."""
    from analytics.pages.report_filter import Names
    from analytics.pages.report_sections import sections_of
    from analytics.played.asked import Asked
    from analytics.report import read_report

    taken: dict[str, list[float]] = {}

    def timed(name: str, call: Callable[[], Any]) -> Any:
        begun = time.perf_counter()
        found = call()
        taken.setdefault(name, []).append(time.perf_counter() - begun)
        return found

    def once() -> None:
        report = timed("rows", lambda: read_report(player, Asked(discipline="three-cushion")))
        for name in ("form", "running", "streak", "trying"):
            timed(name, lambda name=name: getattr(report, name))
        timed("charts", lambda: list(sections_of(report, Names({}, {}, {}))))

    for _ in range(5):
        once()
    return [(name, statistics.median(seconds)) for name, seconds in taken.items()]


if __name__ == "__main__":
    main()
