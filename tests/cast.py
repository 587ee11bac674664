"""A small cast of invented people, and what they need for a match."""

from __future__ import annotations

import itertools

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY, get_user_model
from django.contrib.sessions.backends.db import SessionStore
from rest_framework.test import APIClient

from scoring.arrange import do_arrange_match
from scoring.coaching import do_add_position
from scoring.models import (
    Club,
    Competition,
    Match,
    Player,
    PlayTable,
    PracticePosition,
    PracticeSession,
    Role,
)
from scoring.practising import do_begin_session

CAST = {
    "Quendal": "Mira",
    "Vilemeer": "Joost",
    "Astavik": "Ronja",
    "Karnhof": "Emil",
    "Brinsel": "Tove",
    "Oudewaal": "Ilse",
    "Perrolt": "Gaspar",
    "Sembray": "Noor",
}
_numbers = itertools.count(1)


def make_user(name: str | None = None, **fields):
    """Return a user who holds no role."""
    return get_user_model().objects.create_user(username=name or f"user{next(_numbers)}", **fields)


def make_superuser(name: str = "owner"):
    """Return a user who may do everything."""
    return make_user(name, is_superuser=True, is_staff=True)


def make_role(kind: str, competition: Competition | None = None, name: str | None = None, **fields):
    """Return a user who holds one role, in the club or in one competition."""
    user = make_user(name)
    Role.objects.create(
        user=user, club=Club.objects.the_first(), competition=competition, kind=kind, **fields
    )
    return user


def make_organiser(competition: Competition | None = None, name: str | None = None):
    """Return an organiser of the club, or of one competition."""
    return make_role(Role.Kind.ORGANISER, competition, name)


def make_referee(competition: Competition | None = None, name: str | None = None):
    """Return a referee of the club, or of one competition."""
    return make_role(Role.Kind.REFEREE, competition, name)


def make_player(family: str = "Quendal", **fields) -> Player:
    """Return a player of the cast."""
    return Player.objects.enrol(CAST.get(family, "Ada"), family, **fields)


def make_table(name: str = "Table 1", **fields) -> PlayTable:
    """Return a table of the club."""
    return PlayTable.objects.create(club=Club.objects.the_first(), name=name, **fields)


def make_competition(name: str = "Autumn Cup", **fields) -> Competition:
    """Return a three-cushion competition, unpublished unless said otherwise."""
    fields.setdefault("discipline", "three-cushion")
    return Competition.objects.create(club=Club.objects.the_first(), name=name, **fields)


def make_match(*players: Player, distance: tuple[int | None, int | None] | None = (5, 5), **fields) -> Match:
    """Return a three-cushion match between two players, new ones unless given.

    distance None: as the competition has it.
    """
    first, second = players or (make_player("Quendal"), make_player("Vilemeer"))
    if fields.get("competition") is None:
        fields.setdefault("discipline", "three-cushion")
    agreed = {} if distance is None else {"distance": list(distance)}
    form = agreed | fields.pop("format", {})
    return do_arrange_match(club=Club.objects.the_first(), players=(first, second), format=form, **fields)


LAYOUT = {"white": [1.0, 2.0], "yellow": [2.5, 6.0], "red": [3.0, 3.0]}


def make_position(owner, name: str = "Long way round", **fields) -> PracticePosition:
    """Return a position of a user's own; nobody else sees it unless said otherwise."""
    fields = {"layout": LAYOUT, "cue_ball": "white", "discipline_code": "three-cushion"} | fields
    return do_add_position(owner, name=name, **fields)


def make_session(player: Player, **fields) -> PracticeSession:
    """Return a three-cushion session of a player."""
    fields = {"discipline": "three-cushion"} | fields
    return do_begin_session(club=Club.objects.the_first(), player=player, **fields)


def sign_in(client, user) -> None:
    """Let a client hold a session as signing in leaves it, without what else happens then.

    `force_login` also asks and tells those who count attempts, which is most of its time.
    """
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.save()
    client.cookies[settings.SESSION_COOKIE_NAME] = session.session_key


def client_for(user=None, bearer: str | None = None) -> APIClient:
    """Return a client of the API: signed in, with a device's token, or a stranger."""
    client = APIClient()
    if user is not None:
        sign_in(client, user)
    if bearer is not None:
        client.credentials(HTTP_AUTHORIZATION=f"Bearer {bearer}")
    return client
