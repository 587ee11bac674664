"""What a page holds of a chart before any script runs."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

from django.template import engines

from analytics.charts import Chart, moving_average

from .samples import all_charts, family_charts


def rendered(one: Chart, tag: str = '{% figure one csv="/numbers.csv" %}') -> str:
    return engines["django"].from_string("{% load charts %}" + tag).render({"one": one})


class Names(HTMLParser):
    """The names of all attributes, and how often each element begins."""

    def __init__(self) -> None:
        super().__init__()
        self.attributes: set[str] = set()
        self.begun: dict[str, int] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.begun[tag] = self.begun.get(tag, 0) + 1
        self.attributes |= {name for name, _ in attrs}


def test_finding_counts_and_numbers_stand_there_without_a_script() -> None:
    one = family_charts()[0]
    page = rendered(one)
    assert "<h3>Families</h3>" in page
    assert "147 of 321 strokes made the point." in page
    assert '<details class="chart-numbers" open>' in page
    assert re.search(r'<th scope="row">short angle</th><td class="num">104</td><td class="num">37</td>', page)
    assert '<td class="num">47</td><td>Fewer than promised: 37, promised 49.</td>' in page
    assert '<a href="/numbers.csv" download="families.csv">' in page
    assert page.index("finding") < page.index("chart-drawing") < page.index("<table")


def test_no_chart_needs_an_exception_from_the_policy() -> None:
    for one in all_charts():
        names = Names()
        names.feed(rendered(one))
        assert not {name for name in names.attributes if name == "style" or name.startswith("on")}
        assert "style" not in names.begun
        assert names.begun["tr"] == len(one.rows) + 1


def test_the_figure_stands_beside_it_as_json() -> None:
    page = rendered(family_charts()[1])
    found = re.search(
        r'<script id="chart-points-gained-data" type="application/json">(.*?)</script>', page, re.S
    )
    assert found
    assert set(json.loads(found.group(1))) == {"data", "layout"}


def test_an_undefined_number_is_a_dash_and_a_page_may_keep_its_own_title() -> None:
    page = rendered(
        moving_average([1, 2], [None, 0.5], [None, 0.1], [None, 1.5], window=2),
        "{% figure one titled=False %}",
    )
    assert "<h3>" not in page
    assert '<th scope="row" class="num">1</th><td class="num">–</td>' in page
    assert "chart-csv" not in page
