"""What pages of figures share: sections of charts, each chart's table as CSV at the same address."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from analytics.charts import Chart, chart_csv


@dataclass(frozen=True)
class Section:
    """A part of a page: what is found in words, then the charts; `notes` say what limits them."""

    code: str
    title: str
    findings: Sequence[str] = ()
    charts: Sequence[Chart] = ()
    notes: Sequence[str] = ()
    links: Sequence[tuple[str, str]] = field(default_factory=tuple)


def answer(
    request: HttpRequest, template: str, context: Mapping[str, Any], sections: Iterable[Section]
) -> HttpResponse:
    """Return the page, or the chart that the address asks for as CSV."""
    parts = list(sections)
    wanted = request.GET.get("csv")
    if wanted is not None:
        for part in parts:
            for chart in part.charts:
                if chart.name == wanted:
                    return csv_file(chart)
        raise Http404
    query = request.GET.copy()
    query.pop("csv", None)
    shown = [
        {
            "section": part,
            "charts": [(chart, f"?{_with(query, 'csv', chart.name)}") for chart in part.charts],
        }
        for part in parts
    ]
    return render(request, template, {**context, "sections": shown})


def csv_file(chart: Chart) -> HttpResponse:
    """Return the numbers of a chart as a file."""
    found = HttpResponse(chart_csv(chart), content_type="text/csv; charset=utf-8")
    found["Content-Disposition"] = f'attachment; filename="{chart.csv_name}"'
    return found


def _with(query: Any, name: str, value: str) -> str:
    more = query.copy()
    more[name] = value
    return more.urlencode()
