"""What the pages of a competition share: who writes, what a form is sent with, what was refused."""

from __future__ import annotations

import uuid as uuids
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest

from scoring.access import Actor
from scoring.ledger import Author
from scoring.models import Player
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed

from .fields import PlainForm, add_reason
from .words import speak


class OnceForm(PlainForm):
    """A form that writes once, however often it is sent."""

    once = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"once": uuids.uuid4()} | (kwargs.get("initial") or {})
        super().__init__(*args, **kwargs)

    @property
    def uuid(self) -> uuids.UUID | None:
        """The uuid of what is written."""
        return self.cleaned_data.get("once")

    def does(self, verb: Callable[[], Any], where: dict[str, str] | None = None) -> bool:
        """Do what the form asks for, or say in it what is to be mended."""
        try:
            verb()
        except Malformed as refusal:
            add_reason(self, (where or {}).get(refusal.field, refusal.field), refusal)
        except Refused as refusal:
            self.add_error(None, speak(refusal.reason))
        return not self.errors


def author_of(actor: Actor) -> Author:
    """Return who writes, as the ledger keeps it."""
    return Author(user_id=actor.user.pk if actor.user is not None else None, organises=True)


def did(request: HttpRequest, verb: Callable[[], Any]) -> bool:
    """Do what a button asks for; what was refused is said on the page that follows."""
    try:
        verb()
    except Malformed as refusal:
        reason = speak(refusal.reason)
        messages.warning(request, reason[:1].upper() + reason[1:])
    except Refused as refusal:
        messages.warning(request, speak(refusal.reason))
    else:
        return True
    return False


def sent_uuid(request: HttpRequest) -> uuids.UUID | None:
    """Return the uuid that a plain form was sent with, None where it is none."""
    try:
        return uuids.UUID(request.POST.get("once", ""))
    except ValueError:
        return None


def sent_id(value: Any) -> int:
    """Return an id out of a form or an address, 0 where it is none."""
    text = str(value or "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0


class Names:
    """Names of players as a reader may see them, fetched once."""

    def __init__(self, actor: Actor, ids: Any) -> None:
        self.actor = actor
        self.players = Player.objects.named().in_bulk(list(ids))

    def __call__(self, pk: int) -> str:
        player = self.players.get(pk)
        return "" if player is None else player.shown_name(self.actor.names_open)
