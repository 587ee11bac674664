"""The score sheet's page, on screens and on paper."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from scoring import ledger, projecting, records
from scoring.access import Actor, plays_match, writes_match
from scoring.models import Match, MatchEntry
from scoring.sheets import Block, Figure, Line, Note, Sheet, Written, build_sheet

from .gate import match_or_404, page
from .reading import Shown, Side, is_result_only, known_sums, show_match
from .table_links import drawn
from .words import discipline_name, speak


@require_safe
@never_cache
@page
def sheet(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Render the score sheet of a match, under way or over."""
    match = match_or_404(actor, pk)
    # Free text and authors are for those at the table and the organisers.
    whole = writes_match(actor, match) or plays_match(actor, match)
    state = match.projection.state
    rows = [projecting.row_of(one) for one in match.stroke_projections.order_by("order")]
    printed = build_sheet(state, rows, written(_entries(match), whole))
    shown = show_match(match, actor)
    context = {
        "heading": match.table_now.name
        if match.table_now
        else gettext("Match %(number)s") % {"number": match.pk},
        "back_url": reverse("match", args=[match.pk]),
        "match_url": reverse("match", args=[match.pk]),
        "live": reverse("api-match", args=[match.pk]) if shown.under_way else "",
        "sheet": show_sheet(match, shown, printed, ledger.read_state(match)),
        "score_url": reverse("match-score", args=[match.pk]) if writes_match(actor, match) else "",
    }
    return render(request, "scoring/sheet_page.html", context)


def show_sheet(match: Match, shown: Shown, printed: Sheet, state: dict[str, Any]) -> dict[str, Any]:
    """Return what the template prints."""
    day = match.projection.started_at or match.scheduled_at or match.created_at
    where = [date_format(timezone.localtime(day), "DATE_FORMAT")]
    if match.table_now:
        where.append(match.table_now.name)
    white, yellow = shown.sides
    pages = [page for block in printed.blocks for page in show_block(block, printed)]
    return {
        "club": match.club.name,
        "event": match.competition.name if match.competition else match.club.name,
        "where": ", ".join(where),
        "facts": facts(match, shown),
        "white": show_side(white, "white", state, match),
        "yellow": show_side(yellow, "yellow", state, match),
        "pages": pages or show_block(Block(1, False, []), printed),
        "notes": [show_note(note) for note in printed.notes],
        "open_flags": len(state["flags"]),
        "number": match.pk,
        "last_entry": state["seq"],
        "fingerprint": _in_eights(match.projection.fingerprint),
        "square": _square(match),
        "printed": date_format(timezone.localtime(), "DATETIME_FORMAT"),
    }


def _in_eights(fingerprint: str) -> list[str]:
    """Return a fingerprint as it is read aloud and compared: eight digits at a time."""
    return [fingerprint[at : at + 8] for at in range(0, len(fingerprint), 8)]


def _square(match: Match) -> str:
    """Return what proves the sheet as a QR code: the match, its last entry, and the fingerprint of that."""
    own = match.projection
    return drawn(f"{match.uuid} {own.seq} {own.fingerprint}") if own.fingerprint else ""


def show_side(side: Side, colour: str, state: dict[str, Any], match: Match) -> dict[str, Any]:
    """Return the head and the sums of one player."""
    sums = [state[name][colour] for name in ("score", "points", "high_run")]
    points, high_run = known_sums(match, *sums)
    unknown = is_result_only(match.projection)
    return {
        "full": side.full_name,
        "name": side.name,
        "distance": side.distance,
        "total": state["score"][colour],
        "winner": side.won,
        "points": points,
        "innings": state["innings"][colour] if state["innings"][colour] or not unknown else None,
        "average": state["average"][colour],
        "high_run": high_run,
        "match_points": None,
        "extra": state["extra"][colour] if state["extra"] else [],
    }


def _entries(match: Match) -> QuerySet[MatchEntry]:
    return match.entries.select_related(
        "text", "author_pen", "author_user", "import_batch", "author_link__table"
    ).order_by("seq")


def written(entries: Iterable[MatchEntry], whole: bool) -> list[Written]:
    """Return the entries with when they were written; who and why only where `whole`."""
    found = []
    for row in entries:
        text = getattr(row, "text", None)
        texts = text.texts if whole and text is not None else {}
        found.append(
            Written(
                entry=records.entry_of(row),
                when=timezone.localtime(row.dated_at),
                by=author(row) if whole else "",
                why=texts.get("decision") or texts.get("why") or "",
            )
        )
    return found


def author(row: MatchEntry) -> str:
    """Return who wrote an entry, in words."""
    if row.author_pen is not None:
        return gettext("pen of %(device)s") % {"device": row.author_pen.device}
    if row.author_link is not None:
        return gettext("link of %(table)s") % {"table": row.author_link.table.name}
    if row.import_batch is not None:
        return row.import_batch.source
    if row.author_user is not None:
        return row.author_user.get_short_name()
    return ""


A_COLUMN = 20


def show_block(block: Block, printed: Sheet) -> list[list[dict[str, Any]]]:
    """Return a block as printed pages of two columns of 20 lines.

    One continuous match fills its paper up with empty lines; a set or extra innings do not.
    """
    label = ""
    if block.extra:
        label = gettext("Extra innings")
    elif printed.with_sets:
        label = gettext("Set %(number)s") % {"number": block.set_number}
    lines = [show_line(line) for line in block.lines]
    if not label:
        full = 2 * A_COLUMN * max(1, -(-len(lines) // (2 * A_COLUMN)))
        lines += [show_line(Line(number, Figure(), Figure())) for number in range(len(lines) + 1, full + 1)]
    columns = []
    for at in range(0, len(lines), A_COLUMN):
        rows = lines[at : at + A_COLUMN]
        blank = at > 0 and all(row["blank"] for row in rows)
        columns.append({"label": label, "rows": rows, "blank": blank, "begins": at == 0 and label != ""})
    return [columns[at : at + 2] for at in range(0, len(columns), 2)]


def show_line(line: Line) -> dict[str, Any]:
    """Return one inning of both."""
    return {
        "inning": line.number,
        "fifth": line.fifth,
        "last": line.last,
        "blank": line.blank,
        "white": show_figure(line.white),
        "yellow": show_figure(line.yellow),
    }


def show_figure(figure: Figure) -> dict[str, Any]:
    """Return a run and its total; an unplayed cell is empty."""
    idle = figure.run is None and figure.idle is not None
    run = figure.idle if idle else figure.run
    return {
        "run": "" if run is None else run,
        "total": "" if figure.total is None else figure.total,
        "zero": run == 0,
        "struck": figure.struck,
        "letter": figure.letter,
        "idle": idle,
    }


def show_note(note: Note) -> dict[str, Any]:
    """Return a note in the reader's language; sentences begin with a capital."""
    said = [speak(one) for one in note.said]
    return {
        "letter": note.letter,
        "text": " ".join(one[:1].upper() + one[1:] for one in said),
        "flag": note.flag,
    }


def facts(match: Match, shown: Shown) -> list[tuple[str, str]]:
    """Return the facts at the head of the sheet: label and value."""
    form, state = match.format, match.projection.state
    found = [(gettext("Discipline"), discipline_name(match))]
    found.append((gettext("Equalizing inning"), gettext("yes") if form["equalizing"] else gettext("no")))
    if form.get("sets_to_win"):
        found.append((gettext("Sets to win"), str(form["sets_to_win"])))
    if form.get("innings_limit"):
        found.append((gettext("Limit"), gettext("%(count)s innings") % {"count": form["innings_limit"]}))
    if form.get("shot_seconds"):
        clock = gettext("%(seconds)s s") % {"seconds": form["shot_seconds"]}
        if form.get("timeouts"):
            clock += gettext(", %(count)s time-outs") % {"count": form["timeouts"]}
        found.append((gettext("Clock"), clock))
    if shown.over and is_result_only(match.projection):
        found.append((gettext("Known"), gettext("the result only, no innings")))
    starter = next((side.name for side in shown.sides if side.colour == "white"), None)
    if starter is not None:
        label = {
            "lag": gettext("Lag won by"),
            "draw": gettext("Drawn to start"),
            "home": gettext("Started at home"),
        }.get(state.get("decided_by") or "", gettext("Started"))
        found.append((label, starter))
    return found
