"""The page of two players: who may read it, of which matches, and what it says under which format."""

from __future__ import annotations

import pytest
from django.urls import reverse

from analytics.reports.fairness import chance
from analytics.wanted import Wanted, read_wanted
from scoring.rules.said import Malformed
from tests.cast import client_for, make_competition, make_match, make_organiser, make_player, make_user
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db

# To 10: 10 points in 8 innings against 3.
RUNS = (0, 1, 2, 0, 1, 1, 0, 1, 3, 0, 1, 0, 2, 0, 1, 0)


@pytest.fixture
def players():
    return make_player("Quendal", user=make_user("mira")), make_player("Vilemeer", user=make_user("joost"))


@pytest.fixture
def organiser():
    return client_for(make_organiser())


def address(one, two) -> str:
    return reverse("player-against", args=[one.pk, two.pk])


def main_of(answer) -> str:
    assert answer.status_code == 200
    return answer.content.decode().split("<main")[1].split("</main")[0]


def figures(client, one, two, **query):
    answer = client.get(f"/api/players/{one.pk}/against/{two.pk}/", query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def a_match(one, two, *, competition=None, confirmed=True):
    match = opened(make_match(one, two, distance=(10, 10), competition=competition), one.pk)
    innings(match, *RUNS)
    if confirmed:
        write(match, "confirm")
    return match


def test_what_happened_between_the_two_stands_first(organiser, players):
    one, two = players
    for pair in ((one, two), (one, two), (two, one)):
        a_match(*pair)
    a_match(one, two, confirmed=False)
    text = main_of(organiser.get(address(one, two)))
    assert "Of 3 confirmed matches Mira Quendal won 2, Joost Vilemeer 1." in text
    assert "One match waits to be confirmed and counts nowhere yet." in text
    assert "Mira Quendal averages 0.958: 23 points in 24 innings of 3 matches." in text
    assert text.count('class="entry"') == 4
    told = figures(organiser, one, two)
    assert [row["won"] for row in told["totals"]] == [2, 1]
    assert told["totals"][1]["average"] == "0.666"
    assert [row["outcome"] for row in told["meetings"]].count("lost") == 1


def test_the_chance_is_of_the_format_in_the_address(organiser, players):
    one, two = players
    for _ in range(2):
        a_match(one, two)
    level = figures(organiser, one, two, distance="20,20")
    given = figures(organiser, one, two, distance="20,8", equalizing="no", innings_limit="30")
    assert given["format"] == {
        "distance": [20, 8], "equalizing": False, "innings_limit": 30, "sets_to_win": None,
    }  # fmt: skip
    ends = level["chance"]
    assert ends["low"] < ends["mean"] < ends["high"]
    assert given["chance"]["mean"] < ends["mean"]
    back = figures(organiser, two, one, distance="20,20")
    assert back["chance"]["mean"] == pytest.approx(1 - ends["mean"])
    # The same as it is asked for on the page, field by field.
    text = main_of(organiser.get(address(one, two), {"distance": ["20", "8"]}))
    assert 'name="distance" inputmode="numeric" autocomplete="off" value="8"' in text
    assert "of 100 such matches" in text


def test_the_fair_distance_is_even_and_stands_beside_rules_of_thumb(organiser, players):
    one, two = players
    for _ in range(2):
        a_match(one, two)
    told = figures(organiser, one, two, distance="20,10")
    rates = [row["strength"] / (1 + row["strength"]) for row in told["players"]]
    fair = told["fair_first"]
    assert fair["chance"] == pytest.approx(chance((rates[1], rates[0]), (10, fair["distance"])))
    assert abs(fair["chance"] - 0.5) <= min(abs(fair["one_more"] - 0.5), abs(fair["one_less"] - 0.5))
    assert fair["distance"] in [row["distance"] for row in told["by_distance"]]
    rules = {row["code"]: row["distance"] for row in told["by_rule"]}
    assert rules["average-30"] == [38, 11]
    file = organiser.get(address(one, two), {"csv": "rules-of-thumb"}).content.decode()
    assert file.splitlines()[1].startswith("Average × 30,38,11,")


def test_few_innings_say_so_and_nothing_more(organiser, players):
    one, two = players
    a_match(one, two)
    told = figures(organiser, one, two)
    assert (told["chance"], told["fair_first"], told["by_distance"], told["by_rule"]) == (None, None, [], [])
    assert told["players"][0]["strength"] is None
    text = main_of(organiser.get(address(one, two)))
    assert (
        "Too early to tell: at least 10 confirmed innings are needed of Mira Quendal and Joost Vilemeer."
        in text
    )


def test_two_who_never_met(organiser, players):
    text = main_of(organiser.get(address(*players)))
    assert "No finished match between the two is open to you." in text
    assert "data-chart" not in text


def test_one_of_the_two_reads_of_the_other_what_both_played(players):
    one, two = players
    a_match(one, two)
    a_match(two, make_player("Astavik"))
    told = figures(client_for(one.user), one, two)
    assert [(row["of"], row["matches"]) for row in told["players"]] == [("all", 1), ("mutual", 1)]
    text = main_of(client_for(one.user).get(address(one, two)))
    assert "The report of Joost Vilemeer is not open: only the matches between the two count here." in text
    # The other order is the same page for the other one.
    told = figures(client_for(two.user), one, two)
    assert [(row["of"], row["matches"]) for row in told["players"]] == [("mutual", 1), ("all", 2)]


def test_anybody_else_needs_both_reports_open(players):
    one, two = players
    a_match(one, two)
    a_match(one, two, competition=make_competition(published=True))
    member = client_for(make_user())
    assert member.get(address(one, two)).status_code == 404
    one.report_open = True
    one.save()
    assert member.get(address(one, two)).status_code == 404
    assert member.get(f"/api/players/{one.pk}/against/{two.pk}/").status_code == 404
    two.report_open = True
    two.save()
    told = figures(member, one, two)
    assert [(row["of"], row["matches"]) for row in told["players"]] == [("published", 1), ("published", 1)]
    assert len(told["meetings"]) == 1


def test_nobody_stands_beside_himself_and_merged_players_lead_on(organiser, players):
    one, two = players
    assert organiser.get(address(one, one)).status_code == 404
    old = make_player("Astavik", merged_into=one)
    a_match(old, two)
    assert organiser.get(address(old, two)).url == address(one, two)
    assert figures(organiser, old, two)["totals"][0]["points"] == 10
    assert organiser.get(address(old, one)).status_code == 404


@pytest.mark.parametrize("other", [999_999, 10**20])
def test_nobody_stands_beside_a_player_who_is_not(organiser, players, other):
    for name in ("player-against", "api-player-against"):
        assert organiser.get(reverse(name, args=[players[0].pk, other])).status_code == 404


def test_a_format_that_cannot_be_read_is_told_beside_its_field(organiser, players):
    one, two = players
    text = main_of(organiser.get(address(one, two), {"distance": "20", "sets_to_win": "many"}))
    assert "two distances are needed here" in text
    answer = organiser.get(f"/api/players/{one.pk}/against/{two.pk}/", {"innings_limit": "0"})
    assert answer.status_code == 400
    assert "innings_limit" in answer.content.decode()


def test_what_neither_page_nor_call_offers_is_told_all_the_same(organiser, players):
    one, two = players
    text = main_of(organiser.get(address(one, two), {"table": "x"}))
    assert "Table of the address was not understood" in text
    answer = organiser.get(f"/api/players/{one.pk}/against/{two.pk}/", {"table": "x"})
    assert (answer.status_code, list(answer.json())) == (400, ["table"])


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"distance": ["0,5"]}, "distance"),
        ({"distance": ["5"]}, "distance"),
        ({"distance": ["5", "6", "7"]}, "distance"),
        ({"equalizing": ["maybe"]}, "equalizing"),
        ({"sets_to_win": ["51"]}, "sets_to_win"),
        ({"innings_limit": ["²"]}, "innings_limit"),
    ],
)
def test_formats_are_refused_by_field(values, field):
    with pytest.raises(Malformed) as refused:
        read_wanted(values, Wanted("three-cushion", (30, 30)))
    assert refused.value.field == field


def test_what_an_address_leaves_out_is_as_usual():
    usual = Wanted("three-cushion", (40, 40), innings_limit=50)
    assert read_wanted({}, usual) == usual
    assert read_wanted({"innings_limit": [""], "distance": ["30, 25"]}, usual) == Wanted(
        "three-cushion", (30, 25)
    )


def test_the_report_and_the_player_lead_here(organiser, players):
    one, two = players
    a_match(one, two)
    for name in ("player-report", "player"):
        assert address(one, two) in organiser.get(reverse(name, args=[one.pk])).content.decode()
    # One of the two finds the way on the other's page too.
    a_match(one, two, competition=make_competition(published=True))
    assert address(two, one) in client_for(one.user).get(reverse("player", args=[two.pk])).content.decode()
    stranger = client_for(make_user()).get(reverse("player", args=[two.pk])).content.decode()
    assert "/against/" not in stranger
