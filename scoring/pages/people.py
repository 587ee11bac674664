"""People: the users of the club, their roles, and which player each of them is."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth import get_user_model
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from scoring import people as do
from scoring.access import Actor, Forbidden, access_person
from scoring.models import Club, Competition, Player, Role
from scoring.models.base import today
from scoring.rules.said import Malformed

from .fields import DayField, PlainForm, add_reason
from .gate import may, page
from .words import speak


@require_safe
@page
def people(request: HttpRequest, actor: Actor) -> HttpResponse:
    """List the users with what they may do today; those who are shut out come last."""
    users = get_user_model().objects.select_related("player__name").order_by("-is_active", "username")
    held: dict[int, list[Role]] = defaultdict(list)
    for role in Role.objects.on(today()).select_related("competition").order_by("pk"):
        held[role.user_id].append(role)
    context = {
        "users": [{"user": one, "player": _player_of(one), "roles": held[one.pk]} for one in users],
        "may_change": may(actor, "person-new"),
    }
    return render(request, "scoring/people.html", context)


def _player_of(user: Any) -> Player | None:
    return getattr(user, "player", None)


def open_players(person: Any = None):
    """Return the players whom no other user is linked to."""
    players = Player.objects.filter(merged_into__isnull=True, name__isnull=False)
    free = players.filter(user__isnull=True)
    if person is not None:
        free = free | players.filter(user=person)
    return free.named().order_by("name__family", "name__given", "pk")


class NewPersonForm(PlainForm):
    """A user to be made."""

    username = forms.CharField(
        label=_("Name to sign in with"),
        max_length=150,
        help_text=_("Letters, digits and @ . + - _, without spaces."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    player = forms.ModelChoiceField(Player.objects.none(), label=_("Player"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["player"].queryset = open_players()
        self.fields["player"].empty_label = _("none")

    def clean_username(self) -> str:
        """Check the signs of the name, and that nobody has it in any spelling."""
        users = get_user_model()
        name = users.normalize_username(self.cleaned_data["username"])
        try:
            users.username_validator(name)
        except forms.ValidationError:
            raise forms.ValidationError(_("Letters, digits and @ . + - _ can stand in it.")) from None
        if users.objects.filter(username__iexact=name).exists():
            raise forms.ValidationError(_("Somebody signs in with this name already."))
        return name


class RoleForm(PlainForm):
    """A role to be given."""

    kind = forms.ChoiceField(label=_("Role"), choices=Role.Kind.choices, initial=Role.Kind.REFEREE)
    competition = forms.ModelChoiceField(Competition.objects.none(), label=_("Where"), required=False)
    since = DayField(label=_("First day"), required=False, help_text=_("Left empty: today."))
    until = DayField(label=_("Last day"), required=False, help_text=_("Left empty: until it is ended."))

    def __init__(self, *args: Any, club: Club, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["competition"].queryset = Competition.objects.filter(club=club)
        self.fields["competition"].empty_label = _("in the whole club")


class LinkForm(PlainForm):
    """Which player a user is."""

    player = forms.ModelChoiceField(Player.objects.none(), label=_("This user is"), required=False)

    def __init__(self, *args: Any, person: Any, **kwargs: Any) -> None:
        super().__init__(*args, initial={"player": _player_of(person)}, **kwargs)
        self.fields["player"].queryset = open_players(person)
        self.fields["player"].empty_label = _("no player")


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@page
def person_new(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Make a user; the answer shows the password, this once."""
    form = NewPersonForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            user, password = do.do_create_user(form.cleaned_data["username"], form.cleaned_data["player"])
        except IntegrityError:
            form.add_error("username", _("Somebody signs in with this name already."))
        except Malformed as refusal:
            add_reason(form, "player", refusal)
        else:
            return _show_password(request, user, password, fresh=True)
    return render(request, "scoring/person_new.html", {"form": form})


def _show_password(request: HttpRequest, person: Any, password: str, *, fresh: bool) -> HttpResponse:
    context = {"person": person, "password": password, "fresh": fresh}
    return render(request, "scoring/person_password.html", context)


@require_safe
@page
def person(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Show one user: the player, the roles of now and before, and what may be changed."""
    return _show_person(request, actor, _find(pk))


def _find(pk: int) -> Any:
    return get_object_or_404(get_user_model().objects.select_related("player__name"), pk=pk)


def _find_to_change(actor: Actor, pk: int) -> Any:
    found = _find(pk)
    access_person(actor, found)
    return found


def _show_person(
    request: HttpRequest,
    actor: Actor,
    found: Any,
    role_form: RoleForm | None = None,
    link_form: LinkForm | None = None,
) -> HttpResponse:
    roles = Role.objects.filter(user=found).select_related("competition", "club").order_by("-since", "-pk")
    try:
        access_person(actor, found)
        may_change = True
    except Forbidden:
        may_change = False
    day = today()
    context = {
        "person": found,
        "player": _player_of(found),
        "own": actor.user == found,
        "may_change": may_change,
        "held": [role for role in roles if role.until is None or role.until >= day],
        "ended": [role for role in roles if role.until is not None and role.until < day],
        "role_form": role_form or RoleForm(club=Club.objects.the_first()),
        "link_form": link_form or LinkForm(person=found),
        "wrong_form": next((form for form in (role_form, link_form) if form is not None), None),
        "today": day,
    }
    return render(request, "scoring/person.html", context)


@require_POST
@page
def person_role(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Give a role."""
    found, club = _find_to_change(actor, pk), Club.objects.the_first()
    form = RoleForm(request.POST, club=club)
    if form.is_valid():
        chosen = dict(form.cleaned_data)
        try:
            do.do_give_role(found, chosen.pop("kind"), club=club, **chosen)
            return redirect("person", pk=found.pk)
        except Malformed as refusal:
            add_reason(form, refusal.field, refusal)
    return _show_person(request, actor, found, role_form=form)


@require_POST
@page
def role_end(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """End a role at once."""
    role = get_object_or_404(Role.objects.select_related("user"), pk=pk)
    access_person(actor, role.user)
    _try(request, lambda: do.do_end_role(role), gettext("The role has ended."))
    if not may(Actor(actor.user), "person"):
        return redirect("profile")  # the own last role was given up
    return redirect("person", pk=role.user_id)


@require_POST
@page
def person_player(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Say which player the user is."""
    found = _find_to_change(actor, pk)
    form = LinkForm(request.POST, person=found)
    if form.is_valid():
        try:
            do.do_link_player(found, form.cleaned_data["player"])
            return redirect("person", pk=found.pk)
        except Malformed as refusal:
            add_reason(form, "player", refusal)
    return _show_person(request, actor, found, link_form=form)


@require_POST
@never_cache
@page
def person_password(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Give a new password; the answer shows it, this once. One's own is changed elsewhere."""
    found = _find_to_change(actor, pk)
    if found == actor.user:
        return redirect("password_change")
    return _show_password(request, found, do.do_renew_password(found), fresh=False)


@require_POST
@page
def person_access(request: HttpRequest, actor: Actor, pk: int) -> HttpResponse:
    """Shut a user out, or let one in again."""
    found = _find_to_change(actor, pk)
    asked = request.POST.get("to")
    if asked == "open":
        _try(request, lambda: do.do_set_active(found, True), gettext("The user may sign in again."))
    elif asked == "shut" and found == actor.user:
        messages.error(request, gettext("Nobody shuts the own way in; another administrator does it."))
    elif asked == "shut":
        _try(request, lambda: do.do_set_active(found, False), gettext("The user can no longer sign in."))
    return redirect("person", pk=found.pk)


def _try(request: HttpRequest, change: Any, done: str) -> None:
    try:
        change()
    except Malformed as refusal:
        messages.error(request, speak(refusal.reason))
    else:
        messages.success(request, done)
