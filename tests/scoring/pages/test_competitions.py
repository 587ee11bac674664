"""Competitions: who sees and keeps them, what their matches take from them, publishing."""

import pytest
from django.test import Client

from scoring.models import Competition, Match, OwnRuleSet
from tests import cast

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
GOOD = {"name": "Winter Cup", "discipline": "three-cushion"}


def signed_in(user) -> Client:
    client = Client()
    client.force_login(user, backend=BACKEND)
    return client


@pytest.fixture
def desk() -> Client:
    return signed_in(cast.make_organiser())


def make(desk: Client, **fields) -> Competition:
    answer = desk.post("/competitions/new/", GOOD | fields)
    assert answer.status_code == 302, answer.content.decode()
    return Competition.objects.get(pk=int(answer["Location"].rstrip("/").rpartition("/")[2]))


def test_an_unpublished_competition_is_there_for_its_own_people_alone(client):
    cup, other = cast.make_competition("Autumn Cup"), cast.make_competition("Winter Cup")
    for user, expected in (
        (None, 404),
        (cast.make_user(), 404),
        (cast.make_organiser(other), 404),
        (cast.make_referee(cup), 200),
        (cast.make_organiser(cup), 200),
        (cast.make_superuser(), 200),
    ):
        visitor = signed_in(user) if user else client
        assert visitor.get(f"/competitions/{cup.pk}/").status_code == expected
        assert ("Autumn Cup" in visitor.get("/competitions/").content.decode()) == (expected == 200)


def test_publishing_lets_everybody_follow_a_match(client):
    cup = cast.make_competition()
    match = cast.make_match(competition=cup)
    organiser = signed_in(cast.make_organiser(cup))
    assert client.get(f"/matches/{match.pk}/").status_code == 404
    organiser.post(f"/competitions/{cup.pk}/publish/", {"to": "everybody"})
    assert client.get(f"/matches/{match.pk}/").status_code == 200
    said = client.get(f"/competitions/{cup.pk}/").content.decode()
    assert f"/matches/{match.pk}/" in said
    assert "/publish/" not in said
    organiser.post(f"/competitions/{cup.pk}/publish/", {"to": "nobody at all"})
    assert client.get(f"/competitions/{cup.pk}/").status_code == 200
    organiser.post(f"/competitions/{cup.pk}/publish/", {"to": "own-people"})
    assert client.get(f"/matches/{match.pk}/").status_code == 404


def test_a_referee_neither_publishes_nor_changes():
    cup = cast.make_competition()
    referee = signed_in(cast.make_referee(cup))
    assert referee.post(f"/competitions/{cup.pk}/publish/", {"to": "everybody"}).status_code == 403
    assert referee.post(f"/competitions/{cup.pk}/edit/", GOOD).status_code == 403
    assert referee.get("/competitions/new/").status_code == 403
    cup.refresh_from_db()
    assert (cup.name, cup.published) == ("Autumn Cup", False)


def test_an_organiser_of_one_competition_changes_it_and_makes_no_other():
    cup = cast.make_competition()
    organiser = signed_in(cast.make_organiser(cup))
    assert organiser.get("/competitions/new/").status_code == 403
    assert organiser.post(f"/competitions/{cup.pk}/edit/", GOOD).status_code == 302
    cup.refresh_from_db()
    assert cup.name == "Winter Cup"


def test_matches_take_what_the_competition_says(desk):
    cup = make(
        desk,
        preset="championship-groups",
        distance="30",
        rule_set="us-reading",
        players_score="on",
        average_decimals="2",
        average_rounding="half-up",
        starts_on="2026-12-01",
        ends_on="2026-12-20",
    )
    assert not cup.published
    assert cup.players_score
    match = cast.make_match(competition=cup, distance=(30, 25))
    assert match.format["shot_seconds"] == 30
    assert match.format["timeouts"] == 4
    assert (match.format["average_decimals"], match.format["average_rounding"]) == (2, "half-up")
    assert match.rule_set["rail_frozen"] == "uncounted"
    said = desk.get(f"/competitions/{cup.pk}/").content.decode()
    assert "30 points" in said
    assert "US reading" in said
    assert "2 decimals, rounded, half up" in said


def test_what_is_left_empty_is_the_disciplines(desk):
    cup = make(desk)
    assert (cup.format, cup.rule_set, cup.average_decimals, cup.average_rounding) == ({}, {}, None, None)
    assert "25 points" in desk.get(f"/competitions/{cup.pk}/").content.decode()


@pytest.mark.parametrize(
    ("form", "preset", "distance"),
    [
        ({}, "", None),
        ({"distance": [40, 40]}, "", 40),
        ({"preset": "sets-of-15"}, "sets-of-15", None),
        ({"preset": "club-evening", "distance": [30, 30]}, "club-evening", 30),
        ({"innings_limit": 20, "distance": [30, 25]}, "as-it-is", None),
    ],
)
def test_a_form_that_is_sent_as_it_was_shown_changes_nothing(desk, form, preset, distance):
    cup = cast.make_competition(format=form)
    shown = desk.get(f"/competitions/{cup.pk}/edit/").context["form"]
    assert (shown.initial["preset"], shown.initial["distance"]) == (preset, distance)
    before = cast.make_match(competition=cup).format
    sent = {name: shown[name].value() for name in shown.fields if shown[name].value() not in (None, False)}
    assert desk.post(f"/competitions/{cup.pk}/edit/", sent).status_code == 302
    cup.refresh_from_db()
    assert cast.make_match(competition=cup).format == before
    assert cup.format.get("distance") == (
        form.get("distance") or ([15, 15] if preset == "sets-of-15" else None)
    )


def test_a_competition_keeps_its_copy_of_an_own_rule_set(desk):
    own = {
        "code": "ours",
        "name": "Ours",
        "since": "2026-09-01",
        "preset": "world",
        "rail_frozen": "uncounted",
    }
    desk.post("/regulations/rule-sets/new/", own)
    cup = make(desk, rule_set="ours")
    row = OwnRuleSet.objects.get()
    desk.post(f"/regulations/rule-sets/{row.pk}/", _every_setting(row) | {"rail_frozen": "foul"})
    row.refresh_from_db()
    assert row.data["rail_frozen"] == "foul"
    desk.post(f"/competitions/{cup.pk}/edit/", GOOD | {"rule_set": "as-it-is"})
    cup.refresh_from_db()
    assert cup.rule_set["rail_frozen"] == "uncounted"
    desk.post(f"/competitions/{cup.pk}/edit/", GOOD | {"rule_set": "ours"})
    cup.refresh_from_db()
    assert cup.rule_set["rail_frozen"] == "foul"


def _every_setting(row: OwnRuleSet) -> dict:
    words = {True: "yes", False: "no"}
    return {name: words[value] if isinstance(value, bool) else value for name, value in row.data.items()}


def test_the_discipline_stays_once_a_match_is_written(desk):
    cup = make(desk)
    other = GOOD | {"discipline": "straight-rail"}
    cast.make_match(competition=cup)
    said = desk.post(f"/competitions/{cup.pk}/edit/", other).content.decode()
    assert "the discipline stays" in said
    empty = make(desk, name="Spring Cup")
    assert desk.post(f"/competitions/{empty.pk}/edit/", other).status_code == 302
    assert Match.objects.get().discipline_code == "three-cushion"


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": ""},
        {"name": "\u202e"},
        {"name": "x" * 121},
        {"discipline": "marbles"},
        {"preset": "nine-ball"},
        {"rule_set": "as-it-is"},
        {"rule_set": "none"},
        {"distance": "-1"},
        {"distance": "1001"},
        {"average_decimals": "7"},
        {"average_rounding": "up"},
        {"starts_on": "soon"},
        {"starts_on": "2026-12-02", "ends_on": "2026-12-01"},
        {"preset": "sets-of-15", "distance": "0"},
    ],
)
def test_what_cannot_be_a_competition_is_sent_back(desk, wrong):
    said = desk.post("/competitions/new/", GOOD | wrong).content.decode()
    assert "One thing is to be mended" in said
    assert not Competition.objects.exists()


def test_the_word_leads_to_the_page(client):
    assert 'href="/competitions/"' in client.get("/").content.decode()


@pytest.mark.parametrize("asked", ["", "x", "٣", "99", "9" * 40])
def test_a_match_is_written_from_its_competition(asked):
    cup = cast.make_competition(discipline="one-cushion")
    organiser = signed_in(cast.make_organiser(cup))
    begun = organiser.get("/matches/new/", {"competition": cup.pk}).context["form"]
    assert (begun["competition"].value(), begun["discipline"].value()) == (cup.pk, "one-cushion")
    other = organiser.get("/matches/new/", {"competition": asked}).context["form"]
    assert (other["competition"].value(), other["discipline"].value()) == (None, "three-cushion")
