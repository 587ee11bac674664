"""The documentation pages: open to anyone, linked, and true to the rules they tell of."""

import re
from dataclasses import fields
from html import unescape
from math import degrees, dist, radians
from statistics import median

import numpy as np
import pytest
from django.core.management import call_command
from django.test import Client

from analytics.table.parameters import NAMES, PRESETS, TableParameters
from analytics.table.shots import Strike, play_stroke
from clubsite.management.commands.makemessages import Command as MakeMessages
from clubsite.pages import docs_simulator
from scoring.rules.families import FAMILIES
from scoring.rules.fouls import FOUL_REASONS

PAGES = [
    "/docs/",
    "/docs/rulings/",
    "/docs/record/",
    "/docs/keys/",
    "/docs/simulator/",
    "/docs/diamonds/",
    "/docs/own-table/",
]

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", PAGES)
def test_page_has_one_heading_and_every_link_leads_somewhere(client: Client, address: str) -> None:
    text = client.get(address).content.decode()
    assert text.count("<h1") == 1
    links = {link for link in re.findall(r'href="(/[^"#]*)"', text) if not link.startswith("/static/")}
    assert len(links) > 3
    for link in links:
        assert client.get(link).status_code in (200, 302), link


def test_index_leads_to_every_page(client: Client) -> None:
    text = client.get("/docs/").content.decode()
    for address in PAGES[1:]:
        assert f'href="{address}"' in text


def test_every_page_of_the_site_leads_to_the_documentation(client: Client) -> None:
    assert 'href="/docs/"' in client.get("/").content.decode()


def test_families_and_fouls_are_those_of_the_rules(client: Client) -> None:
    rulings = client.get("/docs/rulings/").content.decode()
    assert rulings.count('<tr><th scope="row">') >= len(FAMILIES)
    for family in FAMILIES.values():
        assert f'<th scope="row">{family.trade_name}</th>' in rulings
    record = client.get("/docs/record/").content.decode()
    for reason in FOUL_REASONS.values():
        assert f"<li>{reason}</li>" in record


def test_parameters_of_the_simulator_are_those_it_uses(client: Client) -> None:
    text = client.get("/docs/simulator/").content.decode()
    assert list(docs_simulator.WORDS) == list(NAMES)
    assert set(docs_simulator.PRESET_WORDS) == set(PRESETS)
    for one in fields(TableParameters):
        (row,) = re.findall(rf"<code>{one.name}</code>(.*?)</tr>", text)
        cells = re.findall(r">([^<]*)</(?:td|span)>", row)
        low, high, source = (one.metadata[name] for name in ("low", "high", "source"))
        assert cells[1:4] == [str(one.default), str(low), str(high)]
        assert unescape(cells[0]) == source


def test_spreading_on_the_page_is_still_the_simulator_s() -> None:
    """A regression test on fewer strokes, so within a third."""
    rng = np.random.default_rng(5)
    moved: list[list[float]] = [[], []]
    while len(moved[0]) < 600:
        layout = {name: (rng.uniform(0.1, 3.9), rng.uniform(0.1, 7.9)) for name in ("white", "yellow", "red")}
        if min(dist(layout["white"], layout[other]) for other in ("yellow", "red")) < 0.3:
            continue
        if dist(layout["yellow"], layout["red"]) < 0.3:
            continue
        direction, speed = rng.uniform(0, 360), rng.uniform(2, 5)
        side, height = rng.uniform(-0.3, 0.3, 2)
        one, two = (
            play_stroke(layout, "white", Strike(direction + degrees(turn), speed, float(side), float(height)))
            for turn in (0.0, 1e-8)
        )
        for at, contacts in enumerate(zip(one.contacts[:2], two.contacts[:2], strict=False)):
            before, after = contacts
            if before.contact == after.contact and (at == 0 or one.contacts[0].contact.rail):
                moved[at].append(dist(before.at, after.at) * 355 / 1e-8 * radians(0.1))
    for at in (0, 1):
        assert docs_simulator.SHIFTS[at][1] == pytest.approx(median(moved[at]), rel=1 / 3)


def test_sentences_of_the_rules_are_collected_for_translators(monkeypatch) -> None:
    assert "--keyword=said" in MakeMessages.xgettext_options
    seen: dict = {}
    monkeypatch.setattr(
        "django.core.management.commands.makemessages.Command.handle",
        lambda self, *args, **options: seen.update(options),
    )
    call_command(MakeMessages(), locale=["nl"])
    assert {"tests", "fixtures"} <= set(seen["ignore_patterns"])
