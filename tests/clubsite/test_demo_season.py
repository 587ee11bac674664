"""The demo club's season: what the recipe plays is in the file, and the ledger takes all of it."""

from __future__ import annotations

import json
import runpy
import sys
from collections import Counter
from pathlib import Path

import pytest
from django.conf import settings
from django.utils import timezone

from analytics import spread_fits
from analytics.models import FollowedMatch, Prediction
from analytics.predictions import Handed, asked_of, do_keep_handed, parameters_before
from analytics.spreads import spread_of
from clubsite.demo import club, fixture, replay, season
from scoring.models import Match, MatchProjection, PlayTable, StrokeProjection

pytestmark = pytest.mark.django_db
FOLDER = Path(settings.BASE_DIR) / "fixtures"
FIRST = ("league-1-1",)


def few(*codes: str) -> dict:
    """Return the season with a few of its matches; by default with the first ones."""
    told = season.read()
    return told | {"matches": [row for row in told["matches"] if row["code"] in (codes or FIRST)]}


def set_up(played: dict) -> club.DemoClub:
    club_only = fixture.read()
    tonight = next(row for row in club_only["matches"] if "minutes_ago" in row)
    told = season.joined(club_only | {"matches": [tonight | {"entries": []}]}, played)
    demo = club.do_set_up(told)
    replay.do_replay(demo, told)
    return demo


@pytest.fixture
def recipe(monkeypatch):
    """Return what the recipe defines; its folder is on the path while it runs."""
    monkeypatch.setattr(sys, "path", [str(FOLDER), *sys.path])
    yield runpy.run_path(str(FOLDER / "make_demo_season.py"), run_name="recipe")
    for name in [name for name in sys.modules if name.partition(".")[0] == "season"]:
        del sys.modules[name]


def test_first_strokes_are_those_that_the_recipe_plays(recipe) -> None:
    rows = recipe["first_rows"](3)
    assert json.loads(json.dumps(rows)) == season.read()["matches"][0]["strokes"][:3]


def test_file_tells_the_hands_of_the_recipe_and_that_they_are_invented(recipe) -> None:
    told = season.read()
    hands = {code: vars(hand) for code, hand in recipe["people"].HANDS.items()}
    assert told["truth"] == {"seed": recipe["people"].SEED, "hands": hands}
    assert told["what"].startswith("Invented")
    codes = [row["code"] for row in told["matches"]]
    assert codes == [one.code for one in recipe["people"].meetings()][: len(codes)]


def test_season_is_taken_whole_without_an_open_question() -> None:
    played = season.read()
    demo = set_up(played)
    ours = Match.objects.filter(pk__in=[match.pk for code, match in demo.matches.items() if "season" in code])
    states = [one.state for one in MatchProjection.objects.filter(match__in=ours)]
    assert set(MatchProjection.objects.filter(match__in=ours).values_list("status", flat=True)) == {
        "confirmed"
    }
    assert [flag for state in states for flag in state["flags"] + state["settled"]] == []
    # Whoever was told to play did: a stroke's cue ball is that of the player on turn.
    strokes = StrokeProjection.objects.filter(match__in=ours, details__cue_ball__isnull=False)
    assert strokes.exists()
    assert all(one.colour == one.details["cue_ball"] for one in strokes)
    made = StrokeProjection.objects.filter(match__in=ours, kind="point", ruling_valid__isnull=False)
    assert set(made.values_list("ruling_valid", flat=True)) == {True}
    _check_predictions(demo, played)


def _check_predictions(demo: club.DemoClub, played: dict) -> None:
    """Both lines and both moments are there, and each spread is what was presumed just then."""
    season.do_hand_predictions(demo, played)
    sources = Counter(Prediction.objects.values_list("source", flat=True))
    assert sources["declared"] > sources["best"] > 0
    kinds = Counter(Prediction.objects.values_list("kind", flat=True))
    assert kinds["blind"] > kinds["same-time"] > 0
    spread_fits.do_refit()
    declared = Prediction.objects.filter(source="declared").order_by("match", "-place")
    rows = {(one.match_id, one.cue_ball): one for one in declared}.values()
    assert len({one.spread for one in rows}) > 2
    for one in rows:
        stroke = StrokeProjection.objects.get(match=one.match_id, place=one.place)
        assert one.spread == spread_of(stroke.player_id, stroke.dated_at)


def test_predictions_come_with_the_strokes_and_nothing_is_left_to_predict() -> None:
    played = few()
    demo = set_up(played)
    ours = [demo.matches[season.code_of(row)] for row in played["matches"]]
    waiting = {(one.match.pk, one.place, one.kind) for one in asked_of(ours)}
    assert season.do_hand_predictions(demo, played) == len(waiting) > 30
    assert set(Prediction.objects.values_list("match", "place", "kind")) == waiting
    assert asked_of(ours) == []
    assert FollowedMatch.objects.filter(match__in=ours).count() == len(ours)
    assert season.do_hand_predictions(demo, played) == 0


def test_a_prediction_that_was_handed_is_the_one_that_would_be_made(monkeypatch) -> None:
    from analytics.predictions import predicted

    played = few()
    demo = set_up(played)
    asked = asked_of([demo.matches[season.code_of(played["matches"][0])]])
    season.do_hand_predictions(demo, played)
    for one in asked[:1]:
        made = predicted(one, threads=1)
        row = Prediction.objects.get(match=one.match, place=one.place, kind=one.kind)
        for name in (
            "told_seq",
            "source",
            "layout",
            "cue_ball",
            "line",
            "parameters",
            "spread",
            "success",
            "stderr",
        ):
            assert getattr(row, name) == getattr(made, name), name
        assert (list(row.hits), list(row.grid)) == (list(made.hits), list(made.grid))


def test_tables_are_those_that_were_played_on(recipe) -> None:
    set_up(few())
    tables = recipe["playing"].TABLES
    for table in PlayTable.objects.all():
        assert parameters_before(table, timezone.now()) == tables[table.number]


def test_predictions_of_another_simulator_keep_its_name_and_of_another_model_are_refused() -> None:
    played = few()
    demo = set_up(played)
    elsewhere = played | {"predictions": {**played["predictions"], "kernels": "another"}}
    with pytest.raises(ValueError, match="model 0"):
        season.do_hand_predictions(demo, played | {"predictions": {"model": 0, "kernels": "another"}})
    assert not Prediction.objects.exists()
    season.do_hand_predictions(demo, elsewhere)
    assert set(Prediction.objects.values_list("kernels", flat=True)) == {"another"}


def test_what_the_ledger_tells_otherwise_is_left_to_a_worker() -> None:
    played = few()
    demo = set_up(played)
    match = demo.matches[season.code_of(played["matches"][0])]
    asked = asked_of([match])
    declared = next(one for one in asked if one.tellings[0].line is not None)
    found = Handed(
        declared.place,
        declared.kind,
        1.0,
        (500,) * 12,
        {"direction": 1.0, "speed": 3.0, "side": 0.0, "height": 0.0},
    )
    assert do_keep_handed({match.pk: [found]}, **played["predictions"]) == 0
    assert asked_of([match]) == asked
    assert not FollowedMatch.objects.filter(match=match).exists()
