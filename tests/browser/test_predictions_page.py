"""Predictions in a real browser: the bar moves by itself, and stopping needs one press."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from analytics.models import PredictionDesk
from tests.cast import make_match, make_organiser
from tests.scoring.pages.writing import opened, write

LAYOUT = {"white": [1.0, 1.0], "yellow": [3.1, 2.3], "red": [2.1, 5.9]}


@pytest.mark.django_db(transaction=True)
def test_the_bar_moves_and_stop_stops(
    page: Page,
    live_server: Any,
    signed_in: Callable[[Any], None],
    axe: Callable[[Page], list[str]],
    complaints: list[str],
) -> None:
    write(opened(make_match()), "miss", layout=LAYOUT)
    now = timezone.now()
    going = {"claim": uuid.uuid4(), "beat_at": now, "begun_at": now}
    PredictionDesk.objects.create(pk=1, done=40, total=200, **going)
    signed_in(make_organiser())
    page.goto(live_server.url + "/predictions/")
    bar = page.get_by_role("progressbar", name="How far it is")
    expect(bar).to_have_attribute("value", "40")
    expect(page.get_by_role("link", name="Look again")).to_be_hidden()
    assert axe(page) == []
    PredictionDesk.objects.update(done=90)
    expect(page.locator(".finding")).to_have_text("Predicting: 90 of 200 strokes.")
    expect(bar).to_have_attribute("value", "90")
    page.get_by_role("button", name="Stop").click()
    expect(page.locator(".finding")).to_have_text("Stopping after the stroke at hand: 90 of 200 strokes.")
    PredictionDesk.objects.update(claim=None)
    expect(page.get_by_role("status")).to_have_text("Stopped: 90 of 200 strokes.")
    expect(page.get_by_role("button", name="Go on")).to_be_visible()
    assert axe(page) == []
    assert complaints == []
