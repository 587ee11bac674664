"""Template library `charts`: `{% chart_styles %}`, `{% figure chart csv=address %}`, `{% chart_scripts %}`.

The styles belong into a page's block `styles`, the scripts into its block `scripts`, once each.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from fractions import Fraction
from functools import lru_cache
from typing import Any

from django import template
from django.templatetags.static import static
from django.utils.formats import date_format, number_format
from django.utils.html import escape, format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, gettext

from analytics.charts import Chart, told
from analytics.charts.chart import Column, Num, cell, plain, say_in, undefined
from scoring.rules.said import Said

from .chart_marks import mark_svg

register = template.Library()


def show(number: Num) -> str:
    """Return a number or a date as the reader's language writes it."""
    value = number.value
    if undefined(value) or number.kind == "text":
        return plain(number)
    if isinstance(value, datetime):
        return date_format(value, "SHORT_DATE_FORMAT")
    if isinstance(value, date):
        return _day(value, get_language())
    return number_format(plain(number), use_l10n=True, force_grouping=number.kind == "count")


@lru_cache(maxsize=4096)
def _day(day: date, _language: str | None) -> str:
    return date_format(day, "SHORT_DATE_FORMAT")


def say(text: Any) -> str:
    """Return a sentence, a number or a name as it is read."""
    return say_in(text, gettext, show)


@register.inclusion_tag("analytics/parts/figure.html")
def figure(chart: Chart, csv: str = "", heading: int = 3, titled: bool = True) -> dict[str, Any]:
    """Show a chart: finding, counts, figure, key, and the table of its numbers with a link to its CSV.

    `heading`: level of the title's heading; `titled` False where the page itself has the title.
    """
    known = told(chart, gettext, show)
    return {
        "chart": known,
        "data_id": f"chart-{known.name}-data",
        "csv": csv,
        "heading": heading if titled else 0,
        "key": [(mark_svg(mark), meaning) for mark, meaning in known.key],
        "rows": _rows(known),
    }


def _rows(chart: Chart) -> SafeString:
    """Return the rows of the table; written here, as a template takes ten times as long over a thousand."""
    numeric = [' class="num"' if column.numeric else "" for column in chart.columns]
    begins = [f"<td{told}>" for told in numeric]
    ends = ["</td>"] * len(begins)
    begins[:1], ends[:1] = [f'<th scope="row"{told}>' for told in numeric[:1]], ["</th>"] * len(ends[:1])
    tellers = [_teller(column) for column in chart.columns]
    written = [
        "".join(
            f"{begin}{tell(value)}{end}"
            for value, tell, begin, end in zip(row, tellers, begins, ends, strict=True)
        )
        for row in chart.rows
    ]
    return mark_safe("".join(f"<tr>{cells}</tr>" for cells in written))


def _teller(column: Column) -> Callable[[Any], str]:
    """Return what writes the cells of a column as HTML; a number that stands there again is written once."""
    known: dict[tuple[type, Any], str] = {}
    rounded = column.kind in ("number", "signed")

    def tell(value: Any) -> str:
        if column.kind == "text" or isinstance(value, Said):
            return escape(say(value) if isinstance(value, Said) else cell(value, column, say))
        # A fraction takes longer to look up than its two numbers.
        plainer = value.as_integer_ratio() if isinstance(value, Fraction) else value
        key = (type(value), round(value, column.digits) if rounded and isinstance(value, float) else plainer)
        if key not in known:
            known[key] = escape(cell(value, column, show))
        return known[key]

    return tell


@register.simple_tag
def chart_styles() -> SafeString:
    """Link the styles of charts; the library's own must stand under this very name, or it writes others."""
    return format_html(
        '<link rel="stylesheet" id="plotly.js-style-global" class="no-inline-styles" href="{}">\n'
        '<link rel="stylesheet" href="{}">',
        static("analytics/vendor/plotly.css"),
        static("analytics/css/charts.css"),
    )


@register.simple_tag
def chart_scripts() -> SafeString:
    """Load the library and what draws the figures of the page, after the page itself."""
    library = format_html(
        '<script defer src="{}"></script>', static("analytics/vendor/plotly-cartesian.min.js")
    )
    ours = format_html('<script type="module" src="{}"></script>', static("analytics/js/charts.js"))
    return format_html_join("\n", "{}", ((library,), (ours,)))
