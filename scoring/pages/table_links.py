"""Table links: an organiser makes, prints and revokes them; what a device at a table opens."""

from __future__ import annotations

import datetime
import io
import uuid as uuids
from typing import Any

import segno
from django import forms
from django.conf import settings
from django.contrib import messages
from django.db import transaction
from django.db.models import Case, F, IntegerField, Value, When
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.safestring import mark_safe
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_http_methods, require_POST

from scoring import linking
from scoring.access import Actor, visible_matches
from scoring.models import Competition, PlayTable, TableLink

from .competitions import competition_or_404
from .fields import DayField, PlainForm
from .gate import LINK_COOKIE, page
from .reading import Shown, Status, show_match
from .words import discipline_name

# Names under which a machine knows itself alone: another device that reads them finds itself.
OWN_NAMES = ("localhost", "127.0.0.1", "[::1]")
# What is still to be written, or to be confirmed, at a table; in this order.
TO_WRITE = (Status.PLAYING, Status.SUSPENDED, Status.OVER, Status.PLANNED)
MOST_MATCHES = 30


class LinksForm(PlainForm):
    """For which tables links are made, and until when they hold."""

    tables = forms.ModelMultipleChoiceField(
        PlayTable.objects.none(), label=_("Tables"), widget=forms.CheckboxSelectMultiple
    )
    until = DayField(label=_("Last day"), required=False)
    replacing = forms.BooleanField(label=_("end the links that these tables have now"), required=False)
    # Sent twice, or loaded again, the form makes no second links.
    once = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, competition: Competition, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.competition = competition
        self.fields["tables"].queryset = PlayTable.objects.filter(club=competition.club_id)
        usual = until_words(competition, linking.default_expiry(competition))
        self.fields["until"].help_text = gettext("Left empty: %(until)s.") % {"until": usual}

    def clean_until(self) -> datetime.date | None:
        """Check that the last day is not past."""
        day = self.cleaned_data["until"]
        if day is not None and linking.end_of_day(self.competition, day) <= timezone.now():
            raise forms.ValidationError(_("A day that is still to come is needed here."))
        return day


def until_words(competition: Competition, moment: datetime.datetime) -> str:
    """Return until when a link holds, as the club's clock says it."""
    local = moment.astimezone(linking.zone_of(competition))
    if local.time() == datetime.time():
        day = local.date() - datetime.timedelta(days=1)
        return gettext("to the end of %(day)s") % {"day": date_format(day)}
    return gettext("until %(moment)s") % {"moment": date_format(local, "DATETIME_FORMAT")}


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def links(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """List the links that hold; make some, and print their cards at once: what they hold is told once."""
    found = competition_or_404(actor, pk, "manage")
    if request.method == "POST":
        form = LinksForm(request.POST, competition=found)
        if form.is_valid():
            made = _make(actor, found, form.cleaned_data)
            if made:
                return _show_sheet(request, found, made)
            messages.info(request, gettext("These cards were shown already. To print again, make new links."))
            return redirect("competition-links", pk=pk)
    else:
        form = LinksForm(competition=found, initial=_at_first(found))
    held = linking.links_of(actor).filter(competition=found).order_by("table__number", "table__name", "pk")
    context = {
        "competition": found,
        "form": form,
        "has_tables": form.fields["tables"].queryset.exists(),
        "links": [_listed(link) for link in held],
        "own_machine": request.get_host().rpartition(":")[0] in OWN_NAMES or request.get_host() in OWN_NAMES,
    }
    return render(request, "scoring/table_links.html", context)


def _at_first(competition: Competition) -> dict[str, Any]:
    """Return what the form offers: the tables that have no link yet."""
    linked = TableLink.objects.usable().filter(competition=competition).values("table")
    free = PlayTable.objects.filter(club=competition.club_id).exclude(pk__in=linked)
    return {"tables": list(free.values_list("pk", flat=True)), "once": uuids.uuid4()}


def _listed(link: TableLink) -> dict[str, Any]:
    used = linking.last_use(link)
    zone = linking.zone_of(link.competition)
    return {
        "link": link,
        "until": until_words(link.competition, link.expires),
        "used": "" if used is None else date_format(used.astimezone(zone), "DATETIME_FORMAT"),
        "made": date_format(link.created_at.astimezone(zone), "DATETIME_FORMAT"),
    }


@transaction.atomic
def _make(actor: Actor, competition: Competition, asked: dict[str, Any]) -> list[TableLink]:
    """Make the links asked for; none where this form made them before."""
    names = {table: uuids.uuid5(asked["once"], f"table {table.pk}") for table in asked["tables"]}
    if TableLink.objects.filter(uuid__in=names.values()).exists():
        return []
    if asked["replacing"]:
        old = TableLink.objects.usable().filter(competition=competition, table__in=asked["tables"])
        linking.do_revoke(old.values_list("pk", flat=True))
    until = asked["until"]
    expires = None if until is None else linking.end_of_day(competition, until)
    return [
        linking.do_make_link(competition, table, user=actor.user, expires=expires, uuid=name)
        for table, name in names.items()
    ]


def _show_sheet(request: HttpRequest, competition: Competition, made: list[TableLink]) -> HttpResponse:
    address = request.build_absolute_uri(reverse("at-the-table"))
    cards = [
        {
            "table": link.table,
            "qr": drawn(f"{address}#{link.fresh_token}"),
            "code": linking.spell_code(link.fresh_code or ""),
            "until": until_words(competition, link.expires),
        }
        for link in made
    ]
    context = {"competition": competition, "cards": cards, "address": address.partition("://")[2]}
    return render(request, "scoring/table_links_sheet.html", context)


def drawn(text: str) -> str:
    """Return a text as a QR code, an SVG without any style: black on white, with its quiet zone."""
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        out, kind="svg", xmldecl=False, svgns=False, omitsize=True, nl=False, light="#fff", svgclass="qr",
        lineclass=None,
    )  # fmt: skip
    # Our own drawing: lines alone, nothing of the text stands in it as text.
    return mark_safe(out.getvalue().decode())


@require_POST
@page
def links_revoke(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Revoke one link of a competition, or all of them."""
    found = competition_or_404(actor, pk, "manage")
    held = TableLink.objects.usable().filter(competition=found)
    asked = request.POST.get("link", "")
    if asked != "all":
        held = (
            held.filter(pk=int(asked))
            if asked.isascii() and asked.isdigit() and len(asked) < 19
            else held.none()
        )
    ended = linking.do_revoke(held.values_list("pk", flat=True))
    if ended:
        words = ngettext("%(count)s link was revoked.", "%(count)s links were revoked.", ended)
        messages.info(request, words % {"count": ended})
    return redirect("competition-links", pk=pk)


# --- at the table ------------------------------------------------------------


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@ensure_csrf_cookie
@page
def at_the_table(request: HttpRequest, actor: Actor) -> HttpResponseBase:
    """Show a device the matches of its table; let it in by its token, or let it forget the table."""
    if request.method == "POST":
        return _let_in(request) if "token" in request.POST else _forget()
    token = request.COOKIES.get(LINK_COOKIE, "")
    link = linking.find_by_token(token) if token else None
    if link is not None and linking.holds(link):
        linking.do_note_use(link)
        context = {
            "link": link,
            "until": until_words(link.competition, link.expires),
            "matches": [_to_write(one) for one in _matches(link)],
        }
        return render(request, "scoring/at_the_table.html", context)
    answer = render(request, "scoring/at_the_table.html", {"ended": ended_words(link) if token else ""})
    if token:
        answer.delete_cookie(LINK_COOKIE)
    return answer


def _matches(link: TableLink) -> list[Shown]:
    """Return what is written or waits at the table of a link, in its event."""
    actor = Actor(link=link)
    order = Case(
        *(When(projection__status=status, then=Value(at)) for at, status in enumerate(TO_WRITE)),
        output_field=IntegerField(),
    )
    found = (
        visible_matches(actor)
        .filter(competition=link.competition_id, projection__table=link.table_id)
        .filter(projection__status__in=TO_WRITE)
        .shown()
        .prefetch_related("colour_projections")
        .order_by(order, F("scheduled_at").asc(nulls_last=True), "pk")
    )
    return [show_match(one, actor) for one in found[:MOST_MATCHES]]


def _to_write(one: Shown) -> dict[str, Any]:
    verb = {Status.PLANNED: gettext("Begin"), Status.OVER: gettext("Confirm")}
    return {
        "one": one,
        "discipline": discipline_name(one.match),
        "verb": verb.get(Status(one.status), gettext("Go on writing")),
    }


def ended_words(link: TableLink | None) -> str:
    """Say why a link opens nothing, and nothing that only its holder may know of another one."""
    if link is None:
        return gettext("This link is not known here.")
    named = {"table": link.table.name, "event": link.competition.name}
    if link.revoked_at is not None:
        return gettext("The link of %(table)s, %(event)s, was revoked by an organiser.") % named
    return gettext("The link of %(table)s, %(event)s, has run out.") % named


def _let_in(request: HttpRequest) -> HttpResponse:
    """Keep the token of a link on this device, where pages find it; say why not where it holds no more."""
    token = request.POST["token"]
    link = linking.find_by_token(token)
    if link is None or not linking.holds(link):
        refused = JsonResponse({"reason": ended_words(link)}, status=403)
        refused.delete_cookie(LINK_COOKIE)
        return refused
    linking.do_note_use(link)
    answer = JsonResponse({"table": link.table.name})
    answer.set_cookie(
        LINK_COOKIE,
        token,
        max_age=max(1, int((link.expires - timezone.now()).total_seconds())),
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return answer


def _forget() -> HttpResponse:
    answer = redirect("at-the-table")
    answer.delete_cookie(LINK_COOKIE)
    return answer
