"""The calibration pages and calls: plain words first, kinds apart, who reads them, practice left to its player."""

from __future__ import annotations

import pytest
from django.db.models import QuerySet
from django.urls import reverse

from analytics import calibration
from analytics.api.calibration import BeliefOut
from analytics.models import PackedMatch, Prediction
from scoring.models import Attempt, StrokeProjection
from tests.analytics.promised import FIELDS, played, promise
from tests.cast import (
    client_for,
    make_competition,
    make_organiser,
    make_player,
    make_session,
    make_table,
    make_user,
)
from tests.scoring.pages.writing import write
from tests.scoring.practice.trying import tried
from tests.scoring.test_query_counts import asked, counted

pytestmark = pytest.mark.django_db

BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture(autouse=True)
def nothing_remembered():
    calibration._answers.clear()


@pytest.fixture
def organiser(client):
    client.force_login(make_organiser(), backend=BACKEND)
    return client


@pytest.fixture
def players():
    return make_player("Quendal"), make_player("Vilemeer")


def text_of(client, name, *args, **query) -> str:
    answer = client.get(reverse(name, args=args), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_description_of_the_call_says_where_chance_is_wider_than_told():
    told = " ".join((BeliefOut.__doc__ or "").split())
    assert "repeated positions share a promise" in told
    assert "the true interval is wider than the one told here" in told


def test_few_strokes_are_told_as_counts_only(organiser, players):
    match = played(*players, 30)
    number = promise(match, colour="white")
    text = text_of(organiser, "player-calibration", players[0].pk)
    made = StrokeProjection.objects.filter(match=match, colour="white", kind="point").count()
    assert f"Strokes: {number}. Points promised: {round(0.4 * number)}, made: {made}." in text
    assert "Too early to tell whether the promises deserve belief" in text
    assert "chart-by-tenths" not in text
    assert "In the large" not in text


def test_from_100_strokes_on_the_sum_is_judged_and_kinds_stay_apart(organiser, players):
    match = played(*players, 240)
    promise(match)
    promise(played(*players, 20, seed=3), kind="same-time", source="best")
    text = text_of(organiser, "calibration")
    assert "So far the promises deserve belief" in text
    assert "Of 240 strokes 96 points were promised" in text
    assert "Told with the stroke, of the best line" in text
    assert "Strokes: 20. Points promised: 8" in text
    assert "Intervals come of drawing the 2 players anew" in text
    assert 'id="chart-by-tenths-blind-declared"' in text
    assert 'id="chart-reliability-blind-declared"' not in text


def test_from_400_strokes_on_a_page_draws_the_diagram_and_gives_its_numbers(organiser, players):
    promise(played(*players, 420))
    text = text_of(organiser, "calibration")
    assert 'id="chart-reliability-blind-declared"' in text
    assert "Slope" in text
    answer = organiser.get(reverse("calibration"), {"csv": "scores-blind-declared"})
    rows = [line.split(",") for line in answer.content.decode().splitlines()]
    assert rows[0][1:4] == ["score", "miscalibration", "chance"]
    score, miscalibration, discrimination, uncertainty = (float(rows[1][at]) for at in (1, 2, 5, 6))
    assert score == pytest.approx(miscalibration - discrimination + uncertainty, abs=1e-5)
    steps = organiser.get(reverse("calibration"), {"csv": "reliability-blind-declared"}).content.decode()
    assert sum(int(line.split(",")[2]) for line in steps.splitlines()[1:]) == 420


def test_promises_that_are_off_are_told_in_plain_words(organiser, players):
    promise(played(*players, 120), success=0.8)
    text = text_of(organiser, "calibration")
    assert "Read the promises with care" in text
    assert "fewer than promised" in text


def test_without_promises_it_is_said_what_is_missing(organiser, players):
    played(*players, 6)
    for name, args in (("calibration", []), ("player-calibration", [players[0].pk])):
        text = text_of(organiser, name, *args)
        assert "No stroke of these matches has a promise." in text
        assert "<figure" not in text


def test_a_table_and_a_filter_narrow_what_is_read(organiser, players):
    table, cup = make_table("Table 7"), make_competition()
    promise(played(*players, 20, table=table))
    promise(played(*players, 24, seed=2, competition=cup))
    assert "44 promised strokes" in text_of(organiser, "calibration")
    assert "20 promised strokes" in text_of(organiser, "table-calibration", table.pk)
    assert "24 promised strokes" in text_of(organiser, "calibration", competition=cup.pk)
    assert "No stroke of these" in text_of(organiser, "table-calibration", table.pk, competition=cup.pk)


def test_a_stroke_that_is_struck_out_leaves_with_its_promise(organiser, players):
    match = played(*players, 20)
    promise(match)
    assert "20 promised strokes" in text_of(organiser, "calibration")
    write(match, "void", target=StrokeProjection.objects.filter(match=match).latest("order").place)
    assert "19 promised strokes" in text_of(organiser, "calibration")
    assert PackedMatch.objects.filter(match=match).count() == 2


def test_who_was_merged_is_one_player(organiser, players):
    promise(played(*players, 20))
    old = make_player("Astavik", merged_into=players[0])
    promise(played(old, players[1], 20, seed=2))
    assert "2 players" in text_of(organiser, "calibration")
    answer = organiser.get(reverse("player-calibration", args=[old.pk]))
    assert answer.url == reverse("player-calibration", args=[players[0].pk])


def test_promises_of_an_older_model_are_counted_and_left_aside(organiser, players):
    old, new = played(*players, 30), played(*players, 20, seed=2)
    before, after = promise(old, 0.8), promise(new)
    QuerySet(Prediction).filter(match=new).update(model=2)
    told = f"{before} strokes that an older model promised are left aside: two models are never pooled."
    text = text_of(organiser, "calibration")
    assert told in text
    assert f"Strokes: {after}. Points promised: {round(0.4 * after)}," in text
    white = StrokeProjection.objects.filter(match=old, colour="white").count()
    assert f"{white} strokes that an older model promised" in text_of(
        organiser, "player-calibration", players[0].pk
    )


def test_practice_is_the_players_own_and_stands_apart(client, players):
    user = make_user("mira")
    players[0].user = user
    players[0].save()
    promise(played(*players, 20), colour="white")
    session = make_session(players[0])
    for outcome in ("made", "missed", "made"):
        tried(session, outcome=outcome)
    for attempt in Attempt.objects.all():
        Prediction.objects.create(
            attempt_uuid=attempt.uuid, kind="same-time", source="declared", success=0.5, **FIELDS
        )
    client.force_login(user, backend=BACKEND)
    address = reverse("player-calibration", args=[players[0].pk])
    text = client.get(address).content.decode()
    assert "In practice, told with the stroke, of the declared line" in text
    assert "Strokes: 3. Points promised: 2, made: 2." in text
    client.force_login(make_organiser(), backend=BACKEND)
    assert "In practice" not in client.get(address).content.decode()
    body = client_for(user).get(f"/api/players/{players[0].pk}/calibration/").json()
    assert [one["strokes"] for one in body["practice"]] == [3]
    narrowed = client_for(user).get(f"/api/players/{players[0].pk}/calibration/", {"opponent": players[1].pk})
    assert narrowed.json()["practice"] is None


def test_the_call_gives_what_the_page_shows(players):
    promise(played(*players, 120))
    user = make_organiser()
    body = client_for(user).get("/api/calibration/").json()
    one = body["matches"][0]
    assert (one["kind"], one["source"], one["shown"], one["strokes"]) == (
        "blind",
        "declared",
        "in-the-large",
        120,
    )
    assert one["diagram"] is None
    assert one["slope"] is None
    assert one["players"] == 2
    interval = one["in_the_large"]["interval"]
    assert interval["low"] < one["in_the_large"]["value"] < interval["high"]
    assert {score["rule"] for score in one["scores"]} == {"brier", "log"}
    assert body["practice"] is None
    wrong = client_for(user).get("/api/calibration/", {"since": "soon"})
    assert wrong.status_code == 400
    assert "since" in wrong.content.decode()


@pytest.mark.parametrize("name", ["calibration", "player-calibration", "api-calibration"])
def test_it_is_read_with_as_few_questions_whatever_the_amount(name, players):
    client, counts = client_for(make_organiser()), []
    args = [players[0].pk] if name == "player-calibration" else []
    for number in (1, 4):
        for seed in range(number):
            promise(played(*players, 8, seed=seed, table=make_table(f"Table {number} {seed}")))
        counts.append(asked(client, reverse(name, args=args)))
    assert counts[0] == counts[1]
    counted(name, counts[0])


def test_others_do_not_read_it(client, players):
    client.force_login(make_user(), backend=BACKEND)
    assert client.get(reverse("calibration")).status_code == 403
    assert client.get(reverse("table-calibration", args=[make_table().pk])).status_code == 403
    assert client.get(reverse("player-calibration", args=[players[0].pk])).status_code == 404
