"""The documentation pages: open to anyone, linked, and true to the rules they tell of."""

import re

import pytest
from django.core.management import call_command
from django.test import Client

from clubsite.management.commands.makemessages import Command as MakeMessages
from scoring.rules.families import FAMILIES
from scoring.rules.fouls import FOUL_REASONS

PAGES = ["/docs/", "/docs/rulings/", "/docs/record/", "/docs/keys/"]

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


def test_sentences_of_the_rules_are_collected_for_translators(monkeypatch) -> None:
    assert "--keyword=said" in MakeMessages.xgettext_options
    seen: dict = {}
    monkeypatch.setattr(
        "django.core.management.commands.makemessages.Command.handle",
        lambda self, *args, **options: seen.update(options),
    )
    call_command(MakeMessages(), locale=["nl"])
    assert {"tests", "fixtures"} <= set(seen["ignore_patterns"])
