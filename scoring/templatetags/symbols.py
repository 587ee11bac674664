"""Symbols and ball marks as inline SVG: 20 px grid, 2 px strokes, round ends, always beside a word."""

from django.utils.html import format_html
from django.utils.safestring import mark_safe

PATHS = {
    "tick": "M4 10.5l4 4 8-9",
    "cross": "M5 5l10 10M15 5L5 15",
    "question": "M6.5 7.2a3.5 3.5 0 1 1 5.2 3c-1.2.7-1.7 1.3-1.7 2.6M10 16v.1",
    "counts": "M10 1.2a8.8 8.8 0 1 0 0 17.6a8.8 8.8 0 1 0 0-17.6M6 10.3l2.8 2.8 5.2-5.6",
    "counts-not": "M10 1.2a8.8 8.8 0 1 0 0 17.6a8.8 8.8 0 1 0 0-17.6M6.8 6.8l6.4 6.4M13.2 6.8l-6.4 6.4",
    "counts-yet": (
        "M10 1.2a8.8 8.8 0 1 0 0 17.6a8.8 8.8 0 1 0 0-17.6"
        "M7.6 7.9a2.4 2.4 0 1 1 3.6 2.1c-.9.5-1.2.9-1.2 1.8M10 14.2v.1"
    ),
    "device": "M6 2.5h8v15H6zM9 15h2",
    "arrow": "M7.5 4.5l5.5 5.5-5.5 5.5",
    "back": "M12.5 4.5L7 10l5.5 5.5",
    "flag": "M5 17.5V3h10l-2.4 3.8L15 10.5H5",
    "clock": "M10 2a8 8 0 1 0 0 16a8 8 0 1 0 0-16M10 5.5V10l3 2.4",
    "more": "M2.5 5h15M2.5 10h15M2.5 15h15",
    "strike": "M13.4 6.4C13 4.8 11.7 4 10 4C8.1 4 6.8 4.9 6.6 6.6M3 10h14M13.5 13.2C13.3 15 11.9 16 10 16C8.2 16 6.9 15.2 6.5 13.6",
    "put-back": "M4 9.5h8.5a4 4 0 0 1 0 8H9M7.5 5.5L3.5 9.5l4 4",
    "pen": "M3.5 16.5l1-4L14 3l3 3-9.5 9.5zM11.8 5.2l3 3",
    "moon": "M16 12.2A6.6 6.6 0 0 1 7.8 4a6.6 6.6 0 1 0 8.2 8.2z",
    "print": "M6 7V3h8v4M6 14H3.5V7.5h13V14H14M6 11.5h8V17H6z",
    "plus": "M10 4v12M4 10h12",
    "pause": "M7 4.5v11M13 4.5v11",
}

BALL_SIGNS = {
    "white": "",
    "yellow": '<circle class="ball-sign" cx="10" cy="10" r="3"/>',
    "red": '<rect class="ball-sign" x="5.4" y="8.5" width="9.2" height="3"/>',
}


def symbol_svg(name, css_class=""):
    """The symbol `name` (a key of PATHS), hidden from screen readers; KeyError if there is none."""
    return format_html(
        '<svg class="symbol{}" viewBox="0 0 20 20" aria-hidden="true" focusable="false"><path d="{}"/></svg>',
        f" {css_class}" if css_class else "",
        PATHS[name],
    )


def ball_svg(colour, css_class=""):
    """The mark of a ball: white plain, yellow a centre dot, red a bar; KeyError for other colours."""
    return format_html(
        '<svg class="ball ball-{}{}" viewBox="0 0 20 20" aria-hidden="true" focusable="false">'
        '<circle class="ball-disc" cx="10" cy="10" r="9"/>{}</svg>',
        colour,
        f" {css_class}" if css_class else "",
        mark_safe(BALL_SIGNS[colour]),
    )
