"""The regulations in words; own rule sets and disciplines, and the copies that matches keep."""

import pytest
from django.test import Client

from scoring.models import Club, Match, OwnDiscipline, OwnRuleSet
from scoring.pages.regulations import CODES, value_words
from scoring.rules.clock import CLOCKS
from scoring.rules.disciplines import DISCIPLINES, FROZEN, OFF_TABLE
from scoring.rules.formats import EQUALIZING_FROM, FORMATS, ROUNDINGS, TIMEOUT_MODES
from scoring.rules.rulesets import RULE_SETS, OneOf, settings
from tests import cast

pytestmark = pytest.mark.django_db
RULES = {"name": "Winter league", "code": "winter-league", "since": "2026-09-01", "preset": "world"}
GAME = {
    "name": "Two-cushion",
    "code": "two-cushion",
    "required_cushions": "2",
    "red_first_at_opening": "on",
    "off_table": "all-to-opening",
    "frozen": "only-those-on-request",
    "announce_last": "3",
    "decimals": "2",
    "distance": "30",
}


@pytest.fixture
def desk() -> Client:
    client = Client()
    client.force_login(cast.make_organiser(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_anyone_reads_every_setting_with_its_source(client):
    said = client.get("/regulations/").content.decode().replace("&#x27;", "'")
    for one in settings():
        assert str(one.meaning) in said
        assert one.source in said
    for kind in (DISCIPLINES, RULE_SETS, FORMATS, CLOCKS):
        for one in kind.values():
            assert one.name in said
    for one in (*FORMATS.values(), *CLOCKS.values()):
        assert one.source in said
    assert "182.5 mm" in said
    assert "a contact that does not count" in said
    assert "3 in matches to 35, 4 otherwise" in said
    assert "/new/" not in said


def test_every_code_is_said_in_words():
    codes = {*OFF_TABLE, *FROZEN, *EQUALIZING_FROM, *TIMEOUT_MODES, *ROUNDINGS}
    for one in settings():
        codes |= set(one.read.choices) if isinstance(one.read, OneOf) else set()
    assert codes == set(CODES)
    assert value_words("", "foul") == "a foul"


def test_a_visitor_adds_nothing(client):
    assert client.post("/regulations/rule-sets/new/", RULES)["Location"].startswith("/sign-in/")
    client.force_login(cast.make_referee(), backend="django.contrib.auth.backends.ModelBackend")
    assert client.post("/regulations/rule-sets/new/", RULES).status_code == 403
    assert client.post("/regulations/disciplines/new/", GAME).status_code == 403
    assert not OwnRuleSet.objects.exists()
    assert not OwnDiscipline.objects.exists()


def open_match(desk: Client, **fields) -> Match:
    """Open a match on its page, between two players of the cast."""
    first, second = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    form = {"player_a": first.pk, "player_b": second.pk, "discipline": "three-cushion"}
    answer = desk.post("/matches/new/", form | fields)
    assert answer.status_code == 302, answer.content.decode()
    return Match.objects.latest("pk")


def test_an_own_rule_set_is_used_by_a_new_match_which_keeps_its_copy(desk):
    changed = {"rail_frozen": "uncounted", "opening_red_direct": "no", "starting_spot_tenths_mm": "1830"}
    assert desk.post("/regulations/rule-sets/new/", RULES | changed).status_code == 302
    row = OwnRuleSet.objects.get()
    world = RULE_SETS["world"].to_json()
    assert {name for name, value in row.data.items() if world[name] != value} == {
        *("code", "name", "since"),
        *changed,
    }
    match = open_match(desk, rule_set="winter-league")
    assert match.rule_set == row.data
    assert match.rule_set["opening_red_direct"] is False
    form = desk.get(f"/regulations/rule-sets/{row.pk}/").context["form"]
    sent = {name: form[name].value() for name in form.fields} | {
        "rail_frozen": "foul",
        "name": "Summer league",
    }
    assert desk.post(f"/regulations/rule-sets/{row.pk}/", sent).status_code == 302
    row.refresh_from_db()
    assert (row.code, row.data["name"], row.data["rail_frozen"]) == ("winter-league", "Summer league", "foul")
    assert row.data["opening_red_direct"] is False
    match.refresh_from_db()
    assert (match.rule_set["name"], match.rule_set["rail_frozen"]) == ("Winter league", "uncounted")
    assert open_match(desk, rule_set="winter-league").rule_set["rail_frozen"] == "foul"


def test_an_own_discipline_is_played_and_a_match_keeps_its_copy(desk):
    assert desk.post("/regulations/disciplines/new/", GAME).status_code == 302
    match = open_match(desk, discipline="two-cushion")
    assert match.discipline["required_cushions"] == 2
    assert match.discipline["off_table"] == "all-to-opening"
    assert match.format["distance"] == [30, 30]
    assert match.format["average_decimals"] == 2
    row = OwnDiscipline.objects.get()
    form = desk.get(f"/regulations/disciplines/{row.pk}/").context["form"]
    shown = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    sent = shown | {"required_cushions": "1", "distance": "50", "preset": "handicap"}
    assert desk.post(f"/regulations/disciplines/{row.pk}/", sent).status_code == 302
    row.refresh_from_db()
    assert row.code == "two-cushion"
    assert row.data["required_cushions"] == 1
    assert "one-rail" in row.data["families"]
    assert row.data["default_format"]["innings_limit"] == 40
    match.refresh_from_db()
    assert match.discipline["required_cushions"] == 2
    assert match.format["distance"] == [30, 30]
    assert open_match(desk, discipline="two-cushion").format["distance"] == [50, 50]


def test_a_discipline_that_is_sent_as_it_was_shown_changes_nothing(desk):
    data = DISCIPLINES["three-cushion"].to_json() | {"code": "ours", "families": ["ticky", "bank"]}
    data["default_format"] |= {"shot_seconds": 40, "innings_limit": 50, "distance": [30, 25]}
    row = OwnDiscipline.objects.create(club=Club.objects.the_first(), code="ours", data=data)
    form = desk.get(f"/regulations/disciplines/{row.pk}/").context["form"]
    sent = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    assert desk.post(f"/regulations/disciplines/{row.pk}/", sent).status_code == 302
    row.refresh_from_db()
    assert row.data == data


def test_a_rule_set_that_is_sent_as_it_was_shown_changes_nothing(desk):
    desk.post("/regulations/rule-sets/new/", RULES | {"extra_from": "as-they-lie"})
    row = OwnRuleSet.objects.get()
    before = row.data
    form = desk.get(f"/regulations/rule-sets/{row.pk}/").context["form"]
    desk.post(f"/regulations/rule-sets/{row.pk}/", {name: form[name].value() for name in form.fields})
    row.refresh_from_db()
    assert row.data == before


@pytest.mark.parametrize(
    "wrong",
    [
        {"code": "world"},
        {"code": "Winter"},
        {"code": "a b"},
        {"code": ""},
        {"name": ""},
        {"name": "\u2066"},
        {"since": "autumn"},
        {"preset": "moon"},
        {"rail_frozen": "maybe"},
        {"opening_red_first": "true"},
        {"lag_repeats_that_lose_choice": "0"},
        {"starting_spot_tenths_mm": "9999999999999999999999"},
    ],
)
def test_what_cannot_be_a_rule_set_is_sent_back(desk, wrong):
    said = desk.post("/regulations/rule-sets/new/", RULES | wrong).content.decode()
    assert "One thing is to be mended" in said
    assert not OwnRuleSet.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"code": "three-cushion"},
        {"code": "two_cushion"},
        {"name": " "},
        {"required_cushions": "10"},
        {"required_cushions": ""},
        {"decimals": "7"},
        {"off_table": "floor"},
        {"frozen": ""},
        {"implausible_run": "0"},
        {"preset": "moon"},
        {"preset": "sets-of-15", "distance": "0"},
    ],
)
def test_what_cannot_be_a_discipline_is_sent_back(desk, wrong):
    said = desk.post("/regulations/disciplines/new/", GAME | wrong).content.decode()
    assert "One thing is to be mended" in said
    assert not OwnDiscipline.objects.exists()


def test_a_code_is_given_once(desk):
    for address, form, rows in (
        ("/regulations/rule-sets/new/", RULES, OwnRuleSet.objects),
        ("/regulations/disciplines/new/", GAME, OwnDiscipline.objects),
    ):
        desk.post(address, form)
        said = desk.post(address, form | {"name": "Another"}).content.decode()
        assert "one of this code already" in said
        assert rows.count() == 1


def test_own_ones_stand_on_the_page_with_what_differs(desk):
    desk.post("/regulations/rule-sets/new/", RULES | {"rail_frozen": "uncounted"})
    desk.post("/regulations/disciplines/new/", GAME)
    said = desk.get("/regulations/").content.decode()
    assert "Winter league" in said
    assert "1 setting unlike the world rules" in said
    assert "Two-cushion" in said
    assert f"/regulations/rule-sets/{OwnRuleSet.objects.get().pk}/" in said
