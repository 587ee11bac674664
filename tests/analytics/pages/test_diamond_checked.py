"""The page of the check: its finding, the chosen track, the numbers to take away, and its limit."""

from __future__ import annotations

import csv
import io
import re
from html import unescape

import pytest
from django.core.cache import cache
from django.test import Client

from analytics.aim.checked.playing import check
from analytics.aim.checked.trust import judge
from analytics.aim.diamonds.systems import SYSTEMS
from analytics.table.parameters import PRESETS
from scoring.api.limits import VisitorLimit
from tests.cast import make_organiser, make_table

pytestmark = pytest.mark.django_db


def ask(client: Client, query: str = "") -> str:
    answer = client.get(f"/diamonds/checked/?{query}")
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def test_finding_counts_what_the_table_shows(client: Client) -> None:
    text = ask(client, "system=plus")
    told = re.search(r"Of (\d+) tracks, (\d+) arrive within a quarter", text)
    assert told
    total, near = told.groups()
    assert int(total) == len(check("plus", PRESETS["match-heated"]))
    assert text.count('<td class="chk-words">within a quarter</td>') == int(near)
    assert len(re.findall(r'<th scope="row">', text)) == int(total)
    assert len(re.findall(r'class="chk-near"', text)) == int(near)


def test_chosen_track_is_told_and_drawn(client: Client) -> None:
    text = ask(client, "track=5-2")
    assert "Origin 5, aim 2: the sum says 3." in text
    assert '<option value="5-2" selected>' in text
    assert text.count('stroke-dasharray="7 5"') >= 3


@pytest.mark.parametrize(
    "query", ["system=nothing&table=x&track=y", "table=999999&system=", "track=" + "9" * 500]
)
def test_what_is_not_known_gives_the_usual(client: Client, query: str) -> None:
    assert "Corner system" in ask(client, query)


@pytest.mark.parametrize("system", ["plus", "one-rail", "two-rail", "sid", "half", "base-30"])
def test_every_system_is_told(client: Client, system: str) -> None:
    text = ask(client, f"system={system}&table=small-230")
    assert "arrive" in text
    assert "None" not in re.sub(r"<[^>]+>", "", text)


def test_a_table_of_the_club_has_its_own_values(client: Client) -> None:
    table = make_table("Dull", size="match", overrides={"cushion_restitution": 0.6})
    own, book = ask(client, f"table={table.pk}"), ask(client)
    finding = r'<p class="finding">(.*?)</p>'
    assert f'<option value="{table.pk}" selected>Dull' in own
    assert re.findall(finding, own) != re.findall(finding, book)


def test_csv_has_every_track(client: Client) -> None:
    answer = client.get("/diamonds/checked/?system=corner&format=csv")
    assert answer["Content-Type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
    found = check("corner", PRESETS["match-heated"])
    assert len(rows) == len(found)
    for row, one in zip(rows, found, strict=True):
        assert float(row["residual"]) == pytest.approx(one.residual, abs=1e-3)
    assert {row["fitted"] for row in rows} == {"yes", "no"}


@pytest.mark.parametrize("address", ["/diamonds/checked/", "/diamonds/?part=answer"])
def test_a_visitor_who_asks_much_waits_and_others_do_not(
    client: Client, monkeypatch: pytest.MonkeyPatch, address: str
) -> None:
    cache.clear()
    monkeypatch.setattr(VisitorLimit, "get_rate", lambda self: "2/min")
    assert [client.get(address).status_code for _ in range(2)] == [200, 200]
    held = client.get(address)
    assert held.status_code == 429
    assert int(held["Retry-After"]) >= 1
    client.force_login(make_organiser())
    assert client.get(address).status_code == 200
    cache.clear()


def test_the_figures_of_the_docs_are_those_of_the_check(client: Client) -> None:
    text = unescape(client.get("/docs/diamonds/").content.decode())
    rows = re.findall(r'<tr><th scope="row">[^<]*</th>((?:<td class="num">[\d.]+</td>)+)</tr>', text)
    shown = [[float(cell) for cell in re.findall(r">([\d.]+)<", row)] for row in rows]
    trusts = [judge(check(system, PRESETS["match-heated"])) for system in SYSTEMS]
    assert [row[:4] for row in shown] == [
        [one.total, *(one.counts[name] for name in ("near", "off", "far"))] for one in trusts
    ]
    assert [row[4] for row in shown] == pytest.approx([one.mean_size for one in trusts], abs=0.0051)
