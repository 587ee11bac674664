"""A player's report through the API: the figures, who may read them, and what a filter must say."""

from __future__ import annotations

import pytest
from django.utils import timezone
from scipy.stats import binomtest

from scoring.models import Coaching, Role
from tests.cast import (
    client_for,
    make_competition,
    make_match,
    make_organiser,
    make_player,
    make_role,
    make_user,
)
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


def report(client, player, **query):
    return client.get(f"/api/players/{player.pk}/report/", query)


def a_match(one, two, competition=None):
    """Play to 5: one makes 3 by strokes, 0 and 2; two makes 1, 2 and 0."""
    match = opened(make_match(one, two, distance=(5, 5), competition=competition), one.pk)
    for kind, family in (("point", "bank"), ("point", "ticky"), ("point", "bank"), ("miss", "bank")):
        write(match, kind, family=family)
    innings(match, 1, 0, 2, 2, 0)
    write(match, "confirm")
    return match


@pytest.fixture
def players():
    return make_player("Quendal"), make_player("Vilemeer")


def test_the_figures_of_two_matches(players):
    one, two = players
    first = a_match(one, two)
    a_match(one, two)
    body = report(client_for(make_organiser()), one).json()
    assert (body["matches"], body["points"], body["innings"], body["misses"]) == (2, 10, 6, 4)
    assert (body["general_average"], body["best_average"], body["high_run"]) == ("1.666", "1.666", 3)
    assert body["runs"] == [{"run": 0, "count": 2}, {"run": 2, "count": 2}, {"run": 3, "count": 2}]
    bank = body["families"][0]
    ends = binomtest(4, 6).proportion_ci(0.9, method="wilson")
    assert (bank["family"], bank["attempts"], bank["points"]) == ("bank", 6, 4)
    assert (bank["low"], bank["high"]) == pytest.approx((ends.low, ends.high))
    assert bank["predicted"] is None
    assert body["not_recorded"]["strokes"] == 6
    assert body["not_recorded"]["recorded_of_points"] == 1.0
    assert body["discipline"] == first.discipline_code
    # After two points in a row: the third of both matches made by strokes, and the miss that follows 2.
    assert (body["after_two_points"]["points"], body["after_two_points"]["strokes"]) == (2, 4)


def test_what_is_not_confirmed_waits(players):
    one, two = players
    match = opened(make_match(one, two, distance=(2, 2)), one.pk)
    innings(match, 2, 0)
    body = report(client_for(make_organiser()), one).json()
    assert (body["matches"], body["pending"], body["general_average"]) == (0, 1, None)
    assert body["runs"] == [{"run": 2, "count": 1}]


def test_outsiders_read_it_where_the_player_opened_it_and_published_matches_alone(players):
    one, two = players
    cup = make_competition(published=True)
    a_match(one, two)
    a_match(one, two, competition=cup)
    assert report(client_for(), one).status_code == 404
    one.report_open = True
    one.save()
    assert report(client_for(), one).json()["matches"] == 1
    assert report(client_for(make_user()), one).json()["matches"] == 1


def test_the_player_and_an_agreed_coach_read_everything(players):
    one, two = players
    one.user = make_user("mira")
    one.save()
    a_match(one, two)
    assert report(client_for(one.user), one).json()["matches"] == 1
    coach = make_role(Role.Kind.COACH)
    asked = Coaching.objects.create(coach=coach, player=one)
    assert report(client_for(coach), one).status_code == 404
    asked.agreed_at = timezone.now()
    asked.save()
    assert report(client_for(coach), one).json()["matches"] == 1
    assert report(client_for(coach), two).status_code == 404
    asked.withdrawn_at = timezone.now()
    asked.save()
    assert report(client_for(coach), one).status_code == 404


@pytest.mark.parametrize("query", [{"since": "soon"}, {"discipline": "none such"}, {"opponent": "-1"}])
def test_a_bad_filter_is_told_with_its_field(players, query):
    answer = report(client_for(make_organiser()), players[0], **query)
    assert answer.status_code == 400
    assert set(answer.json()) >= set(query)


def test_days_are_included_at_both_ends(players):
    one, two = players
    a_match(one, two)
    client = client_for(make_organiser())
    day = report(client, one).json()["moving"][0]["date"]
    assert report(client, one, since=day, until=day).json()["matches"] == 1
    assert report(client, one, since="2030-01-01").json()["matches"] == 0


def test_a_player_without_matches_has_an_empty_report(players):
    body = report(client_for(make_organiser()), players[0]).json()
    assert (body["matches"], body["general_average"], body["runs"], body["families"]) == (0, None, [], [])
