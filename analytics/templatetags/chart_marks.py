"""The marks of a figure, drawn small beside their meaning."""

from __future__ import annotations

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

_TICKED = '<path class="key-band" d="M2 4h32v12H2z"/><path class="key-end" d="M2 1v18M34 1v18"/>'
_MARKS = {
    "interval": _TICKED + '<circle class="key-disc" cx="18" cy="10" r="6.5"/>',
    "promise": '<path class="key-promise" d="M18 2l8 8-8 8-8-8z"/>',
    "disc": '<circle class="key-disc" cx="18" cy="10" r="6.5"/>',
    "bar": '<path class="key-bar" d="M10 2h16v16H10z"/>',
    "bar-b": '<path class="key-bar-b" d="M10 2h16v16H10z"/>',
    "chance": '<path class="key-chance" d="M4 10h28"/>',
    "line-a": '<path class="key-line" d="M2 10h32"/>',
    "band": '<path class="key-band" d="M2 2h32v16H2z"/>',
    "reference": '<path class="key-reference" d="M2 10h32"/>',
    "law": '<path class="key-law" d="M2 10h32"/>',
    "series-1": '<path class="key-series-1" d="M2 10h32"/><circle class="key-of-1" cx="18" cy="10" r="4"/>',
    "series-2": '<path class="key-series-2" d="M2 10h32"/><path class="key-of-2" d="M14 6h8v8h-8z"/>',
    "series-3": '<path class="key-series-3" d="M2 10h32"/><path class="key-of-3" d="M18 5l5 5-5 5-5-5z"/>',
    "series-4": '<path class="key-series-4" d="M2 10h32"/><path class="key-of-4" d="M18 5l5 9H13z"/>',
    "ticks": '<path class="key-ticks" d="M4 18V8h6v10zM14 18V2h6v16zM24 18v-6h6v6z"/>',
}


def mark_svg(mark: str) -> SafeString:
    """Return the mark as a small drawing; a number stands for itself. Raises KeyError for any other."""
    if mark.isdigit():
        return format_html('<b class="chart-number">{}</b>', mark)
    inside = mark_safe(_MARKS[mark])
    return format_html('<svg viewBox="0 0 36 20" aria-hidden="true" focusable="false">{}</svg>', inside)
