"""A player's presumed spread: from the average, where there are innings enough."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from analytics.aim.lines.players import AVERAGES, usual_spread
from analytics.spreads import REFERENCE, presumed, spread_of
from scoring.models import ColourProjection, Match
from tests.cast import client_for, make_match, make_player, make_user


@pytest.mark.parametrize("spread", sorted(AVERAGES))
def test_a_measured_average_gives_back_its_spread(spread):
    assert usual_spread(AVERAGES[spread]) == pytest.approx(spread, abs=0.005)


def test_a_higher_average_is_a_steadier_hand():
    found = [usual_spread(average) for average in (0.01, 0.3, 0.5, 0.8, 1.2, 2.5, 20.0)]
    assert found == sorted(found, reverse=True)
    assert (found[0], found[-1]) == (2.0, 0.5)


def played(player, points, innings, days_ago=1) -> Match:
    match = make_match(player, make_player("Vilemeer"))
    ended = timezone.now() - datetime.timedelta(days=days_ago)
    projection = match.projection
    projection.status, projection.ended_at = "confirmed", ended
    projection.save()
    ColourProjection.objects.update_or_create(
        match=match,
        colour="white",
        defaults={"player": player, "points": points, "innings": innings, "counted": True},
    )
    return match


@pytest.mark.django_db
def test_few_innings_are_the_reference_player():
    player = make_player()
    played(player, 29, 29)
    assert presumed([player.pk]).spread == REFERENCE
    assert presumed([player.pk]).average is None
    assert spread_of(None) == REFERENCE


@pytest.mark.django_db
def test_what_came_later_or_belongs_to_a_merged_record():
    player = make_player()
    played(player, 20, 40, days_ago=10)
    played(player, 200, 40, days_ago=1)
    week = timezone.now() - datetime.timedelta(days=7)
    assert spread_of(player, week) == usual_spread(0.5)
    assert spread_of(player) == usual_spread(2.75)
    main = make_player("Tarvendal")
    player.merged_into = main
    player.save()
    assert spread_of(main.pk, week) == usual_spread(0.5)


@pytest.mark.django_db
def test_the_aim_page_presumes_the_spread_of_who_looks():
    user = make_user()
    player = make_player(user=user)
    played(player, 20, 40)
    page = client_for(user).get("/aim/").content.decode()
    assert "from an average of 0.500 over 40 innings" in page
    assert f'"spread": {usual_spread(0.5)}' in page
    assert "from an average" not in client_for().get("/aim/").content.decode()
    assert '"spread": 0.7' in client_for(user).get("/aim/?spread=0.7").content.decode()
