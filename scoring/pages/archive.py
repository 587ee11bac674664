"""The whole club as one file, for administrators."""

from __future__ import annotations

import tempfile

from django.http import FileResponse, HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from scoring.access import Actor
from scoring.archive.shapes import LEFT_OUT_WORDS
from scoring.archive.writing import write_archive
from scoring.models import Competition, Match, MatchEntry, Player

from .gate import page


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def club_archive(request: HttpRequest, actor: Actor) -> HttpResponseBase:
    """Tell what an archive holds; answer it to a POST, without the hashes of passwords."""
    if request.method == "POST":
        # Written to disk, not to memory; gone when it was sent.
        file = tempfile.TemporaryFile()  # noqa: SIM115
        write_archive(file)
        file.seek(0)
        name = f"club-{timezone.localdate().isoformat()}.zip"
        return FileResponse(file, as_attachment=True, filename=name, content_type="application/zip")
    context = {
        "left_out": LEFT_OUT_WORDS,
        "players": Player.objects.count(),
        "competitions": Competition.objects.count(),
        "matches": Match.objects.count(),
        "entries": MatchEntry.objects.count(),
    }
    return render(request, "scoring/club_archive.html", context)
