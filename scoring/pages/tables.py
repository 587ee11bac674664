"""The tables of the club: the list, adding one, changing one."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from scoring.access import Actor
from scoring.models import Club, PlayTable

from .fields import NameField, PlainForm, number
from .gate import may, page

# World rules of carom billiard, art. 11; the smaller ones from a German material standard.
SIZES = {
    "match": _("match table, 2.84 by 1.42 m"),
    "230": _("2.30 by 1.15 m"),
    "210": _("2.10 by 1.05 m"),
}


class TableForm(PlainForm):
    """A table."""

    name = NameField(label=_("Name"), help_text=_("As it is called in the room: Table 3."))
    number = number(_("Number"), 999, _("Its place in lists. It may be left empty."), least=1)
    size = forms.ChoiceField(label=_("Size"), initial="match")
    heated = forms.BooleanField(label=_("heated"), required=False, initial=True)

    def __init__(self, *args: Any, table: PlayTable | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sizes = dict(SIZES)
        if table is not None:
            # A size that came through the API stays as it is.
            sizes.setdefault(table.size, table.size)
        self.fields["size"].choices = list(sizes.items())


@require_safe
@page
def table_list(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List the tables."""
    found = PlayTable.objects.order_by(F("number").asc(nulls_last=True), "name", "pk")
    context = {
        "tables": [{"table": one, "size": SIZES.get(one.size, one.size)} for one in found],
        "may_change": may(actor, "table-new"),
    }
    return render(request, "scoring/tables.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@page
def table_new(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Add a table."""
    form = TableForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        PlayTable.objects.create(club=Club.objects.the_first(), **form.cleaned_data)
        return redirect("tables")
    return render(request, "scoring/table_form.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@page
def table_edit(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Change a table; its matches stay with it."""
    table = get_object_or_404(PlayTable, pk=pk)
    now = {name: getattr(table, name) for name in TableForm.base_fields}
    form = TableForm(request.POST if request.method == "POST" else None, initial=now, table=table)
    if request.method == "POST" and form.is_valid():
        for name, value in form.cleaned_data.items():
            setattr(table, name, value)
        table.save(update_fields=list(form.cleaned_data))
        return redirect("tables")
    return render(request, "scoring/table_form.html", {"form": form, "table": table})
