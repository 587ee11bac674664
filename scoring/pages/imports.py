"""Bringing lists in from files: the batches, a new one, and one with its trial run."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from scoring.access import Actor
from scoring.import_trial import ASK, NEW, SAME, SKIP, Named, Trial, Twin
from scoring.importing import do_drop, do_open_batch, do_set, do_undo
from scoring.models import Club, Competition, ImportBatch
from scoring.rules.importing import columns as cols
from scoring.rules.importing.table import ENCODINGS, SEPARATORS, decode, read_table
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed, said

from .fields import PlainForm, add_reason, number
from .gate import page
from .import_progress import written
from .words import speak

A_PAGE = 30
# So many rows are listed of each kind; a choice for all of them stands above.
MOST_LISTED = 200
SIGNS = {";": _("semicolon"), ",": _("comma"), "\t": _("tab")}
CODES = {"utf-8": "UTF-8", "cp1252": "Windows-1252"}


@require_safe
@page
def imports(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List what was brought in, the latest first, drafts among it."""
    batches = ImportBatch.objects.exclude(kind="").select_related("user", "undone_by", "competition")
    found = Paginator(batches, A_PAGE).get_page(request.GET.get("page"))
    for one in found:
        one.kind_word = speak(cols.KINDS[one.kind]) if one.kind in cols.KINDS else one.kind
        one.draft = bool(one.options.get("draft"))
        one.told = _made_words(one)
    return render(request, "scoring/imports.html", {"found": found, "batches": list(found)})


def _made_words(batch: ImportBatch) -> str:
    """Return how much a batch made, in words."""
    counts = {name: len(rows) for name, rows in batch.made.items()}
    words = [
        gettext("matches: %(n)s") % {"n": counts["matches"]} if counts.get("matches") else "",
        gettext("players: %(n)s") % {"n": counts["players"]} if counts.get("players") else "",
        gettext("numbers: %(n)s") % {"n": counts["numbers"]} if counts.get("numbers") else "",
        gettext("memberships: %(n)s") % {"n": counts["memberships"]} if counts.get("memberships") else "",
    ]
    return ", ".join(word for word in words if word)


class FileForm(PlainForm):
    """A file and what is in it."""

    kind = forms.ChoiceField(label=_("What it lists"), widget=forms.RadioSelect)
    file = forms.FileField(
        label=_("File"),
        help_text=_(
            "CSV with a line of heads, in UTF-8 or Windows-1252; semicolons, commas or tabs between."
        ),
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,text/csv"}),
    )
    competition = forms.ModelChoiceField(
        Competition.objects.filter(closed_at__isnull=True),
        label=_("Into the competition"),
        required=False,
        empty_label=_("none: matches that stand alone"),
        help_text=_("For results and innings."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = [(code, speak(word)) for code, word in cols.KINDS.items()]
        self.fields["kind"].initial = cols.PLAYERS


@require_http_methods(["GET", "HEAD", "POST"])
@page
def import_new(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Take a file; nothing of it is in the club before its trial run was looked at."""
    form = FileForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    if request.method == "POST" and form.is_valid():
        told, file = form.cleaned_data, form.cleaned_data["file"]
        cup = told["competition"] if told["kind"] != cols.PLAYERS else None
        try:
            batch = do_open_batch(
                Club.objects.the_first(), actor.user, told["kind"], file.name, file.read(4_000_001), cup
            )
        except Malformed as refusal:
            add_reason(form, refusal.field, refusal)
        else:
            return redirect("import-batch", pk=batch.pk)
    fields = {kind: [speak(one.label) for one in cols.COLUMNS[kind]] for kind in cols.KINDS}
    may_hold = [{"kind": speak(cols.KINDS[kind]), "names": names} for kind, names in fields.items()]
    return render(request, "scoring/import_new.html", {"form": form, "may_hold": may_hold})


class ReadingForm(PlainForm):
    """How a file is read: the map of its columns, and what holds where it says nothing."""

    def __init__(self, trial: Trial, *args: Any) -> None:
        super().__init__(*args)
        table = trial.table
        heads = [("", gettext("nothing"))] + [
            (str(place), head or gettext("column %(number)s") % {"number": place + 1})
            for place, head in enumerate(table.heads)
        ]
        self.map_names = []
        for column in cols.COLUMNS[trial.kind]:
            name = f"column_{column.name}"
            self.fields[name] = forms.ChoiceField(
                label=speak(column.label).capitalize(),
                choices=heads,
                required=False,
                initial=str(trial.columns.get(column.name, "")),
            )
            self.map_names.append(name)
        self.fields["separator"] = forms.ChoiceField(
            label=_("Between columns"),
            choices=[(one, SIGNS[one]) for one in SEPARATORS],
            initial=table.separator,
        )
        self.fields["encoding"] = forms.ChoiceField(
            label=_("Signs are"), choices=[(one, CODES[one]) for one in ENCODINGS], initial=table.encoding
        )
        self.fields["headless"] = forms.BooleanField(
            label=_("the first line is a row already, without heads"),
            required=False,
            initial=table.headless,
        )
        self.fields["issuer"] = forms.CharField(
            label=_("Who gave the numbers"), required=False, max_length=60, initial=trial.presumed.issuer
        )
        if trial.kind != cols.PLAYERS:
            self._of_matches(trial)
        self.speak_plainly()

    def _of_matches(self, trial: Trial) -> None:
        self.fields["discipline"] = forms.ChoiceField(
            label=_("Discipline"),
            choices=[(code, gettext(game.name)) for code, game in trial.games.items()],
            initial=trial.presumed.discipline,
            help_text=_("Where a row names none."),
        )
        self.fields["distance"] = number(
            _("Distance"),
            1000,
            _("Where a row names none. Empty: none."),
            least=1,
            initial=trial.presumed.distance,
        )
        self.fields["same_names"] = forms.BooleanField(
            label=_("a name that stands once in the club is that player"),
            required=False,
            initial=bool(trial.options.get("same_names")),
        )

    @property
    def map_fields(self) -> Iterator[Any]:
        """The fields of the map."""
        return (self[name] for name in self.map_names)

    @property
    def other_fields(self) -> Iterator[Any]:
        """The fields beside the map."""
        return (self[name] for name in self.fields if name not in self.map_names)

    def options(self) -> dict[str, Any]:
        """Return what was set, as a batch keeps it."""
        told = self.cleaned_data
        chosen = {
            name.removeprefix("column_"): int(told[name]) for name in self.map_names if told[name] != ""
        }
        rest = {name: told[name] for name in self.fields if name not in self.map_names}
        return rest | {"columns": chosen}


@require_http_methods(["GET", "HEAD", "POST"])
@page
def import_batch(request: HttpRequest, actor: Actor, pk: int) -> HttpResponseBase:
    """Show a batch: a draft with its trial run, or what was brought in and who took it back."""
    batch = get_object_or_404(
        ImportBatch.objects.select_related("club", "competition", "user", "undone_by").exclude(kind=""), pk=pk
    )
    refusal, form = "", None
    if request.method == "POST":
        try:
            form = _told_reading(request, batch)
            answer = _act(request, actor, batch, form)
        except Malformed as error:
            refusal = speak(error.reason)
        except Refused as error:
            refusal, form = speak(error.reason), None
        else:
            if answer is not None:
                return answer
    if not batch.options.get("draft"):
        context = {"batch": batch, "told": _made_words(batch), "refusal": refusal} | _kept(batch)
        return render(request, "scoring/import_made.html", context)
    return render(request, "scoring/import_trial.html", _trial_context(batch, form) | {"refusal": refusal})


def _told_reading(request: HttpRequest, batch: ImportBatch) -> ReadingForm | None:
    """Return how the file is to be read, where the page told it."""
    told = batch.options.get("draft") and "separator" in request.POST
    return ReadingForm(Trial(batch), request.POST) if told else None


def _act(
    request: HttpRequest, actor: Actor, batch: ImportBatch, form: ReadingForm | None
) -> HttpResponseBase | None:
    action = request.POST.get("action", "")
    if action == "drop":
        do_drop(batch)
        return redirect("imports")
    if action == "undo":
        do_undo(batch, actor.user)
    elif action in ("read", "choose", "write"):
        # Whichever button was pressed, all that the page holds is kept.
        do_set(batch, _choices(request, batch))
        if form is not None and not form.is_valid():
            return None
        otherwise = form is not None and form.has_changed()
        if form is not None and (otherwise or action == "read"):
            do_set(batch, _reading(batch, form))
        if action == "write" and otherwise:
            raise Refused("changed", said("The file is read otherwise now. Look at it again."))
        if action == "write":
            return written(request, batch, actor.user)
    return redirect("import-batch", pk=batch.pk)


def _reading(batch: ImportBatch, form: ReadingForm) -> dict[str, Any]:
    """Return how a file is read from now on. Raises Malformed where it cannot be read so."""
    told = form.options()
    text = batch.options["text"]
    if told["encoding"] != batch.options["encoding"]:
        # The bytes are the text in its old encoding.
        data = text.encode(batch.options["encoding"])
        text, told["encoding"] = decode(data, told["encoding"])
        told["text"] = text
    read_table(text, told["separator"], told["encoding"], told["headless"])
    if not set(form.map_names).intersection(form.changed_data):
        # Another separator shows other columns; the map that was chosen waits until they are back.
        del told["columns"]
    return told


def _choices(request: HttpRequest, batch: ImportBatch) -> dict[str, Any]:
    """Return what was chosen of people and rows; what is not listed keeps its choice."""
    trial = Trial(batch)
    people, rows = dict(batch.options.get("people", {})), dict(batch.options.get("rows", {}))
    touched = {}
    for place, one in enumerate(trial.people):
        if f"person-{place}" in request.POST:
            people[one.key] = request.POST[f"person-{place}"]
    for twin in trial.twins:
        if f"row-{twin.line}" in request.POST:
            rows[str(twin.line)] = told = request.POST[f"row-{twin.line}"]
            if told != (twin.choice or ""):
                touched[str(twin.line)] = told
    changed: dict[str, Any] = {"people": people, "rows": rows, "again": "again" in request.POST}
    if request.POST.get("twins") in (ASK, SAME, SKIP, NEW):
        changed["twins"] = request.POST["twins"]
        if changed["twins"] != batch.options.get("twins", ASK):
            changed["rows"] = touched
    return changed


def _kept(batch: ImportBatch) -> dict[str, Any]:
    """Return how a batch was read, for those who look later."""
    heads, columns = batch.options.get("heads", []), batch.options.get("columns", {})
    names = [(speak(one.label), one.name) for one in cols.COLUMNS.get(batch.kind, ())]
    return {
        "map": [(label, heads[columns[name]]) for label, name in names if name in columns],
        "kind_word": speak(cols.KINDS[batch.kind]) if batch.kind in cols.KINDS else batch.kind,
    }


def _trial_context(batch: ImportBatch, form: ReadingForm | None = None) -> dict[str, Any]:
    trial = Trial(batch)
    context: dict[str, Any] = {
        "batch": batch,
        "kind_word": speak(cols.KINDS[batch.kind]),
        "form": form or ReadingForm(trial),
        "heads": trial.table.heads,
        "sample": trial.table.rows[:3],
        "rows": len(trial.table.rows),
        "missing": [_or(batch.kind, group) for group in trial.missing],
    }
    if trial.missing:
        return context
    strangers = [one.person.name for one in trial.people if not one.known and one.person.name]
    open_people = [one for one in enumerate(trial.people) if one[1].known]
    problems = [(one.line, _column_word(trial, one.column), speak(one.reason)) for one in trial.problems]
    return context | {
        "problems": problems[:MOST_LISTED],
        "problem_count": len(problems),
        "people": [_person(place, one) for place, one in open_people[:MOST_LISTED]],
        "people_count": len(open_people),
        "strangers": strangers[:MOST_LISTED],
        "stranger_count": len(strangers),
        "twins": [_twin(trial, one) for one in trial.twins[:MOST_LISTED]],
        "twin_count": len(trial.twins),
        "are_players": trial.kind == cols.PLAYERS,
        "twin_usual": batch.options.get("twins", ASK),
        "to_choose": trial.to_choose,
        "ready": trial.is_ready,
        "counts": trial.counts,
        "without_innings": trial.without_innings,
        "seen_before": trial.seen_before,
        "again": batch.options.get("again"),
    }


def _or(kind: str, group: tuple[str, ...]) -> str:
    return gettext(" or ").join(speak(cols.label_of(kind, name)) for name in group)


def _column_word(trial: Trial, name: str) -> str:
    if name in trial.columns:
        place = trial.columns[name]
        return trial.table.heads[place] or gettext("column %(number)s") % {"number": place + 1}
    return speak(cols.label_of(trial.kind, name)) if name else ""


def _person(place: int, one: Named) -> dict[str, Any]:
    options = [
        (str(player.pk), _is(player.full_name, player.pk), one.choice == str(player.pk))
        for player in one.known
    ]
    options.append((NEW, gettext("somebody new"), one.choice == NEW))
    name = one.person.name or one.person.number
    return {"name": f"person-{place}", "told": name, "options": options, "open": one.choice is None}


def _is(name: str, pk: int) -> str:
    return gettext("is %(name)s (number %(number)s here)") % {"name": name, "number": pk}


def _twin(trial: Trial, twin: Twin) -> dict[str, Any]:
    options = [(SKIP, gettext("leave it out"), twin.choice == SKIP)]
    if trial.kind == cols.PLAYERS:
        told = twin.draft.person.name
        options += [
            (str(one.pk), _is(one.full_name, one.pk), twin.choice == str(one.pk)) for one in twin.known
        ]
        new = gettext("somebody new")
    else:
        first, second = twin.draft.players
        told = f"{twin.draft.day}: {first.name or first.number} – {second.name or second.number}"
        told += f", {twin.draft.score[0]} : {twin.draft.score[1]}"
        new = gettext("bring it in too")
    if not twin.by_number:
        options.append((NEW, new, twin.choice == NEW))
    return {
        "name": f"row-{twin.line}",
        "line": twin.line,
        "told": told,
        "match": twin.match,
        "above": twin.above,
        "options": options,
        "open": twin.choice is None,
    }
