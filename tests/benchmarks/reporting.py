"""A player's report among strokes of others: the page, the call, the figures, and where the time goes.

Beside it, in the same run, what a report begins with (matches with points and innings, runs,
families with points and promises): from DuckDB over rows that were fetched, from fetching them and
DuckDB, and from the product's database by one query. Page, call and figures are worked out anew
each time; `page again` is the page when nothing went on since.
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

    from analytics.remembering import forget

    owner, _ = get_user_model().objects.get_or_create(username="owner", is_superuser=True)
    client = Client()
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")

    def fetch(address: str, *, anew: bool = True) -> None:
        if anew:
            forget()
        assert client.get(address).status_code == 200

    first = time.perf_counter()
    figures(player)
    print(f"\n{name}: read for the first time in {time.perf_counter() - first:.2f} s")
    fetched = rows_of(player)
    page, again, call, alone, duck, summed, plain = interleaved(
        TIMES,
        lambda: fetch(f"/players/{player.pk}/report/"),
        lambda: fetch(f"/players/{player.pk}/report/", anew=False),
        lambda: fetch(f"/api/players/{player.pk}/report/"),
        lambda: figures(player),
        lambda: by_duckdb(rows_of(player)),
        lambda: by_duckdb(fetched),
        lambda: by_query(player),
        warm=1,
    )
    whole = tell("page, worked out anew", page)
    tell("page again", again)
    tell("call, worked out anew", call)
    own = tell("figures, worked out anew", alone)
    references = {
        "DuckDB": tell("DuckDB, rows fetched before", summed),
        "fetching and DuckDB": tell("fetching and DuckDB", duck),
        "one query": tell("one query", plain),
    }
    assert len(by_duckdb(fetched)) == len(by_query(player))
    for reference, seconds in references.items():
        print(f"figures / {reference}: {own / seconds:.2f}; page / {reference}: {whole / seconds:.2f}")
    print(f"page: {1000 * whole:.0f} ms (goal: below {1000 * GOAL:.0f})")
    for part, seconds in parts(player):
        print(f"  {part:<12}{1000 * seconds:7.1f} ms")


def figures(player) -> dict:
    """Return the call's answer, without the call, worked out anew."""
    from analytics.api.report import show_report
    from analytics.played.asked import Asked
    from analytics.remembering import forget
    from analytics.report import read_report

    forget()
    return show_report(read_report(player, Asked(discipline="three-cushion")))


def rows_of(player) -> Any:
    """Return the player's strokes with their promises, a column an array."""
    import pandas as pd
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT match_id, inning, kind, run, family_tried, success FROM ({_own()}) own", [player.pk]
        )
        columns = ["match_id", "inning", "kind", "run", "family_tried", "success"]
        return pd.DataFrame.from_records(cursor.fetchall(), columns=columns)


def by_duckdb(strokes) -> list[tuple]:
    """Return what `by_query` does, from strokes that were fetched."""
    import duckdb

    with duckdb.connect() as base:
        base.execute("SET threads TO 1")
        base.register("own", strokes)
        return base.execute(f"WITH {SUMS}").fetchall()


def by_query(player) -> list[tuple]:
    """Return matches with points and innings, innings by run and strokes by family with points and promises."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(f"WITH own AS ({_own()}), {SUMS}", [player.pk])
        return cursor.fetchall()


SUMS = """runs AS (SELECT match_id, inning, sum(run) AS run FROM own GROUP BY match_id, inning)
    SELECT 'run' AS part, CAST(run AS text) AS name, count(*) AS many, 0 AS points, 0.0 AS promised
    FROM runs GROUP BY run
    UNION ALL SELECT 'match', CAST(match_id AS text), count(*), sum(run), 0.0 FROM runs GROUP BY match_id
    UNION ALL SELECT 'family', family_tried, count(*), sum(CASE kind WHEN 'point' THEN 1 ELSE 0 END), sum(success)
    FROM own GROUP BY family_tried"""


def _own() -> str:
    from analytics.models import Prediction
    from scoring.models import StrokeProjection

    strokes, promises = (model._meta.db_table for model in (StrokeProjection, Prediction))
    return f"""SELECT s.*, p.success FROM {strokes} s
        LEFT JOIN {promises} p ON p.match_id = s.match_id AND p.place = s.place
        WHERE s.player_id = %s AND s.counts AND NOT s.extra"""


def parts(player) -> list[tuple[str, float]]:
    """Return the median seconds of each part of a report."""
    from analytics.pages.report_filter import Names
    from analytics.pages.report_sections import sections_of
    from analytics.played.asked import Asked
    from analytics.remembering import forget
    from analytics.report import read_report

    taken: dict[str, list[float]] = {}

    def timed(name: str, call: Callable[[], Any]) -> Any:
        begun = time.perf_counter()
        found = call()
        taken.setdefault(name, []).append(time.perf_counter() - begun)
        return found

    def once() -> None:
        forget()
        report = timed("rows", lambda: read_report(player, Asked(discipline="three-cushion")))
        for name in ("form", "running", "streak", "trying"):
            timed(name, lambda name=name: getattr(report, name))
        timed("charts", lambda: list(sections_of(report, Names({}, {}, {}))))

    for _ in range(5):
        once()
    return [(name, statistics.median(seconds)) for name, seconds in taken.items()]


if __name__ == "__main__":
    main()
