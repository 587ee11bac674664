"""The JavaScript fold and validator agree with the Python ones, case by case, in a real browser."""

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

HERE = Path(__file__).parent
CASES = HERE.parent / "cases"


@pytest.fixture
def runner(page: Page, live_server: Any) -> Page:
    """A page of the site that may import the runner of the cases as a module of its own host."""
    script = (HERE / "js" / "fold_cases.js").read_text("utf-8")
    page.route("**/fold_cases.js", lambda route: route.fulfill(body=script, content_type="text/javascript"))
    page.goto(live_server.url + "/healthz")
    return page


def failures(page: Page, which: str, file: Any) -> list[str]:
    return page.evaluate(
        "async ([which, file]) => (await import('/fold_cases.js'))[which]('/static/scoring/js/', file)",
        [which, file],
    )


@pytest.mark.parametrize(("which", "file"), [("runMatches", "matches.json"), ("runRulings", "rulings.json")])
def test_cases(runner: Page, which: str, file: str) -> None:
    cases = json.loads((CASES / file).read_text("utf-8"))
    assert failures(runner, which, cases) == []


def test_a_case_that_differs_is_named(runner: Page) -> None:
    cases = json.loads((CASES / "matches.json").read_text("utf-8"))
    cases["cases"] = cases["cases"][:9]
    cases["cases"][7]["steps"][0]["then"]["turn"] = "yellow"
    found = failures(runner, "runMatches", cases)
    assert [line.split(":")[0] for line in found] == ["case 7"]
    assert 'turn: wanted "yellow", got "white"' in found[0]
