"""A player's spread, fitted to recorded strokes: what goes into it, when it is behind, and who uses it."""

from __future__ import annotations

import datetime
import uuid

import numpy as np
import pytest
from django.db.models import QuerySet
from django.utils import timezone

from analytics import club_figures, upkeep
from analytics.aim.predicting import SPREADS
from analytics.models import ClubFigures, Prediction, SpreadFit
from analytics.predictions import do_note_followed
from analytics.spread_fits import do_refit, fit_of, fitted, is_behind
from analytics.spreads import presumed, spread_of
from scoring import ledger
from scoring.models import Match, StrokeProjection
from tests.cast import client_for, make_match, make_organiser, make_player, make_user
from tests.scoring.pages.writing import ORGANISER, opened, write

pytestmark = pytest.mark.django_db

EASE = np.linspace(-1.5, 1.5, 31).repeat(2)


def curve(ease):
    """Return success of a line at every spread: steadier hands make more."""
    return (1.0 / (1.0 + np.exp(-(ease - 1.5 * np.log(SPREADS))))).tolist()


def promise(match, place, ease):
    grid = curve(ease)
    return Prediction(
        match=match,
        place=place,
        kind="blind",
        source="declared",
        layout={},
        cue_ball="white",
        line={},
        discipline="three-cushion",
        parameters={},
        spread=1.0,
        success=grid[4],
        stderr=0.01,
        hits=[],
        grid=grid,
        strokes=1024,
        model=1,
        kernels="",
    )


def a_match(player, spread, seed, predicted=True):
    """Play one hand at a spread, 62 strokes, over by concession; the other makes nothing."""
    rng = np.random.default_rng(seed)
    match = opened(make_match(player, make_player("Vilemeer"), distance=(60, 60)), player.pk)
    made = rng.random(EASE.size) < 1.0 / (1.0 + np.exp(-(EASE - 1.5 * np.log(spread))))
    sent = []
    for one in made:
        sent += [{"kind": "point"}] if one else [{"kind": "miss"}, {"kind": "inning", "run": 0}]
    sent.append({"kind": "concede", "player": player.pk})
    sent = [{"after": 1, "uuid": str(uuid.uuid4()), **one} for one in sent]
    outcomes, _state = ledger.append_list(match.pk, sent, ORGANISER)
    assert {one.status for one in outcomes} == {"stored"}
    if predicted:
        strokes = StrokeProjection.objects.filter(match=match, player=player).order_by("order")
        Prediction.objects.bulk_create(
            promise(match, stroke.place, ease) for stroke, ease in zip(strokes, EASE, strict=True)
        )
    do_note_followed(Match.objects.select_related("projection").get(pk=match.pk))
    return match


def test_a_steady_hand_is_told_from_an_unsteady_one():
    steady, unsteady = make_player("Quendal"), make_player("Astavik")
    for seed in range(2):
        a_match(steady, 0.8, seed)
        a_match(unsteady, 1.6, seed)
    assert is_behind()
    assert do_refit() >= 2
    assert not is_behind()
    one, two = (fit_of([player.pk], "three-cushion") for player in (steady, unsteady))
    assert one["median"] < two["median"]
    assert one["median"] < two["median"]
    assert one["strokes"] == 124


def test_the_fit_is_what_earlier_matches_told_and_the_average_where_there_is_none():
    player = make_player("Quendal")
    first = a_match(player, 0.6, 1)
    a_match(player, 0.6, 2)
    do_refit()
    ended = Match.objects.get(pk=first.pk).projection.ended_at
    assert fit_of([player.pk], "three-cushion", ended) is None
    assert presumed([player.pk], ended).strokes == 0
    after = fit_of([player.pk], "three-cushion", ended + datetime.timedelta(microseconds=1))
    assert after["match"] == first.pk
    assert spread_of(player) == fit_of([player.pk], "three-cushion")["median"]


def test_it_can_be_worked_out_again_from_the_ledger_and_the_predictions():
    player = make_player("Quendal")
    a_match(player, 0.8, 5)
    do_refit()
    kept = SpreadFit.objects.get(player=player).points
    assert fitted([player.pk], "three-cushion") == kept


def test_a_stroke_struck_out_leaves_the_fit():
    player = make_player("Quendal")
    match = a_match(player, 0.8, 5)
    do_refit()
    before = SpreadFit.objects.get(player=player).points[-1]
    stroke = StrokeProjection.objects.filter(match=match, player=player).order_by("order").first()
    write(match, "void", target=stroke.place, why="slip")
    do_note_followed(Match.objects.select_related("projection").get(pk=match.pk))
    do_refit()
    points = SpreadFit.objects.get(player=player).points
    assert points[-1]["strokes"] == before["strokes"] - 1


def test_points_described_afterwards_leave_the_fit_unless_all_of_the_match_was_described():
    player = make_player("Quendal")
    whole, partly = a_match(player, 1.0, 5), a_match(player, 1.0, 6)
    for match in (whole, partly):
        QuerySet(Prediction).filter(match=match).update(kind="hindsight")
    misses = StrokeProjection.objects.filter(match=partly, player=player, kind="miss")
    Prediction.objects.filter(match=partly, place__in=misses.values("place")).delete()
    points = StrokeProjection.objects.filter(match=partly, player=player, kind="point").count()
    do_refit()
    (point,) = SpreadFit.objects.get(player=player).points
    assert (point["match"], point["strokes"], point["chosen"]) == (whole.pk, EASE.size, points)
    page = client_for(make_organiser()).get(f"/players/{player.pk}/report/").content.decode()
    told = f"{points} strokes that were described afterwards are left aside"
    assert page.count(told) == 2


def test_a_fit_is_of_the_newest_model_and_counts_what_an_older_one_predicted():
    player = make_player("Quendal")
    a_match(player, 1.0, 5)
    newer = a_match(player, 1.0, 6)
    QuerySet(Prediction).filter(match=newer).update(model=2)
    do_refit()
    (point,) = SpreadFit.objects.get(player=player).points
    assert (point["match"], point["strokes"], point["older"]) == (newer.pk, EASE.size, EASE.size)


def test_a_match_without_predictions_asks_for_no_fit():
    a_match(make_player("Quendal"), 1.0, 3, predicted=False)
    assert not SpreadFit.objects.exists()


def test_too_few_strokes_are_not_used():
    player = make_player("Quendal")
    match = a_match(player, 1.0, 3)
    Prediction.objects.filter(match=match, place__gt=24).delete()
    do_refit()
    (point,) = SpreadFit.objects.get(player=player).points
    assert (point["strokes"] < 25, point["usable"]) == (True, False)
    assert fit_of([player.pk], "three-cushion") is None


def test_the_aim_page_says_what_a_fit_comes_from():
    player = make_player("Quendal", user=make_user("mira"))
    SpreadFit.objects.create(
        player=player,
        discipline="three-cushion",
        behind=False,
        points=[
            {"at": timezone.now().isoformat(), "match": 1, "strokes": 140, "median": 0.84, "low": 0.7, "high": 1.0,
             "usable": True}
        ],
    )  # fmt: skip
    client = client_for()
    client.force_login(player.user, backend="django.contrib.auth.backends.ModelBackend")
    text = client.get("/aim/").content.decode()
    assert "Yours is 0.84, between 0.7 and 1.0, fitted to 140 strokes" in text
    assert 'value="0.84"' in text


def test_the_club_tells_rates_by_family_and_is_asked_again_when_it_went_on():
    player = make_player("Quendal")
    match = opened(make_match(player, make_player("Vilemeer"), distance=(9, 9)), player.pk)
    for kind in ("point", "point", "miss"):
        write(match, kind, family="bank")
    assert club_figures.disciplines_behind() == ["three-cushion"]
    assert upkeep.do_bring_up_to_date() == 1
    assert club_figures.disciplines_behind() == []
    club = club_figures.club_of("three-cushion")
    assert club.rate == pytest.approx(2 / 3, abs=0.2)
    write(match, "miss")
    ClubFigures.objects.update(made_at=timezone.now() - datetime.timedelta(days=1))
    assert club_figures.disciplines_behind() == ["three-cushion"]


def test_strokes_of_a_known_family_alone_are_promised_an_ordinary_line_of_it():
    player = make_player("Quendal", user=make_user("mira"))
    match = a_match(player, 1.0, 4)
    StrokeProjection.objects.filter(match=match, kind__in=("point", "miss")).update(family_tried="bank")
    bare = opened(make_match(player, make_player("Astavik"), distance=(9, 9)), player.pk)
    for kind in ("point", "miss"):
        write(bare, kind, family="bank", by="white")
    upkeep.do_bring_up_to_date()
    report = client_for(player.user).get(f"/api/players/{player.pk}/report/").json()
    (alone,) = [one for one in report["promises"] if one["kind"] == "family"]
    assert (alone["strokes"], alone["points"]) == (2, 1)
    assert 0.5 < alone["expected"] < 1.5
    (blind,) = [one for one in report["promises"] if one["kind"] == "blind"]
    assert blind["strokes"] == 62
