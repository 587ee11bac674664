"""Bringing a large file in while somebody looks on: the page grows by a line for each part that is ready."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.http import HttpRequest, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.translation import gettext

from scoring.importing import write_in_steps
from scoring.models import ImportBatch
from scoring.rules.match.checks import Refused

from .words import speak

# Fewer matches than this are in before anybody has read a line.
FEW = 400
# Where the lines go in the page.
HERE = "<!-- progress -->"


def written(request: HttpRequest, batch: ImportBatch, user: Any) -> HttpResponseBase:
    """Bring a batch in and lead to it; a large one answers line by line. Raises Refused before the first."""
    steps = write_in_steps(batch, user)
    _ready, of = next(steps)
    if of >= FEW:
        return StreamingHttpResponse(_told(request, batch, steps))
    for _step in steps:
        pass
    return redirect("import-batch", pk=batch.pk)


def _told(request: HttpRequest, batch: ImportBatch, steps: Iterator[tuple[int, int]]) -> Iterator[str]:
    """Give the page in parts. Whoever leaves before its end has brought in nothing."""
    page = render_to_string("scoring/import_writing.html", {"batch": batch, "here": HERE}, request)
    before, _here, after = page.partition(HERE)
    yield before
    try:
        for ready, of in steps:
            said = gettext("%(ready)s of %(of)s matches are ready.") % {"ready": ready, "of": of}
            yield format_html("<li>{}</li>\n", said)
        last = gettext("All of it is in.")
    except Refused as refused:
        last = gettext("Nothing was brought in. %(why)s") % {"why": speak(refused.reason)}
    yield format_html("<li><b>{}</b></li>\n", last)
    yield after
