"""The demo's practice: written once, played by the recipe, private as all practice."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest
from django.conf import settings

from clubsite.demo import club, fixture, practice, season
from scoring.models import Assignment, Attempt, Coaching, PracticeSession
from tests.cast import client_for

pytestmark = pytest.mark.django_db
RECIPE = Path(settings.BASE_DIR) / "fixtures" / "make_demo_practice.py"


@pytest.fixture
def demo(monkeypatch):
    monkeypatch.setattr(season, "read", lambda: {"matches": []})
    told = practice.joined(fixture.read(), practice.read())
    told = told | {"matches": [row for row in told["matches"] if row["code"].startswith("tonight")]}
    return club.do_set_up(told)


def test_it_is_written_once(demo):
    told = practice.read()
    strokes = sum(len(tried["made"]) for row in told["sessions"] for tried in row["tried"])
    assert practice.do_practise(demo, told) == strokes == Attempt.objects.count()
    assert practice.do_practise(demo, told) == 0
    assert PracticeSession.objects.filter(ended_at__isnull=False).count() == len(told["sessions"])
    assert (Coaching.objects.count(), Assignment.objects.count()) == (2, 1)
    assert Attempt.objects.exclude(told="blind").exclude(told="same-time").count() == 0


def test_the_coach_reads_it_and_an_organiser_does_not(demo):
    practice.do_practise(demo, practice.read())
    assert len(client_for(demo.users["coach"]).get("/api/sessions/").json()["results"]) == 6
    assert client_for(demo.users["organiser"]).get("/api/sessions/").json()["results"] == []


def test_the_recipe_plays_what_the_file_has():
    recipe = runpy.run_path(str(RECIPE))
    played = recipe["sitting"](recipe["SITTINGS"][3])
    assert played == practice.read()["sessions"][3]
    assert recipe["written"](practice.read()) == practice.PATH.read_text(encoding="utf-8")
