"""Contacts: what the cue ball met, in order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from .reading import a_choice
from .said import Malformed, said

BALLS = ("white", "yellow", "red")
CUE_BALLS = ("white", "yellow")
RAILS = ("bottom", "right", "top", "left")
LONG_RAILS = ("right", "left")
MOST_CONTACTS = 200


@dataclass(frozen=True)
class Contact:
    """The cue ball meets a ball or a rail; `tie`: at the same instant as the contact before."""

    ball: str | None = None
    rail: str | None = None
    tie: bool = False


def parse_contacts(value: Any, cue_ball: str | None = None, field: str = "contacts") -> tuple[Contact, ...]:
    """Read a JSON list of contacts.

    Raises Malformed with the field (`contacts[3].ball`): not a list, more than 200, a contact
    without exactly one ball or rail, an unknown one, the cue ball itself, a tie on the first.
    """
    if not isinstance(value, list | tuple):
        raise Malformed(field, said("a list of contacts is needed here"))
    if len(value) > MOST_CONTACTS:
        raise Malformed(field, said("at most %(most)s contacts can be described", most=MOST_CONTACTS))
    return tuple(_contact(one, cue_ball, f"{field}[{place}]", place) for place, one in enumerate(value))


def _contact(value: Any, cue_ball: str | None, field: str, place: int) -> Contact:
    if not isinstance(value, dict) or set(value) - {"ball", "rail", "tie"}:
        raise Malformed(
            field, said('a contact is needed here: a "ball" or a "rail", and at most a "tie" beside it')
        )
    ball, rail, tie = value.get("ball"), value.get("rail"), value.get("tie", False)
    if (ball is None) == (rail is None):
        raise Malformed(field, said("a contact has either a ball or a rail"))
    if ball is not None:
        a_ball(ball, f"{field}.ball", cue_ball)
    else:
        a_choice(rail, f"{field}.rail", RAILS)
    if not isinstance(tie, bool):
        raise Malformed(f"{field}.tie", said("true or false is needed here"))
    if tie and place == 0:
        raise Malformed(f"{field}.tie", said("the first contact has none before it"))
    return Contact(ball=ball, rail=rail, tie=tie)


def a_ball(value: Any, field: str, but: str | None = None) -> str:
    """Return a ball that is not `but`, the cue ball."""
    ball = a_choice(value, field, BALLS)
    if ball == but:
        raise Malformed(field, said("the cue ball cannot meet itself"))
    return ball


def parse_balls(value: Any, field: str, but: str | None = None) -> tuple[str, ...]:
    """Read null, a ball, or a list of at most three balls; none twice, none that is `but`."""
    return _several(value, field, lambda one, name: a_ball(one, name, but), 3)


def parse_rails(value: Any, field: str) -> tuple[str, ...]:
    """Read null, a rail, or a list of at most two rails (a corner); none twice."""
    return _several(value, field, lambda one, name: a_choice(one, name, RAILS), 2)


def _several(value: Any, field: str, read: Any, most: int) -> tuple[str, ...]:
    if value is None:
        return ()
    if isinstance(value, str):
        return (read(value, field),)
    if not isinstance(value, list | tuple):
        raise Malformed(field, said("a name or a list of names is needed here"))
    if len(value) > most:
        raise Malformed(field, said("at most %(most)s can be named here", most=most))
    return tuple(dict.fromkeys(read(one, f"{field}[{place}]") for place, one in enumerate(value)))


def contacts_to_json(contacts: Iterable[Contact]) -> list[dict[str, Any]]:
    """Return the contacts as JSON values; `parse_contacts` reads them back."""
    return [
        ({"ball": one.ball} if one.ball else {"rail": one.rail}) | ({"tie": True} if one.tie else {})
        for one in contacts
    ]


def instants(contacts: Sequence[Contact]) -> list[list[Contact]]:
    """Group the contacts by instant: a contact with `tie` joins the one before it."""
    groups: list[list[Contact]] = []
    for one in contacts:
        if one.tie and groups:
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


@dataclass(frozen=True)
class Course:
    """The rails met before the first object ball and from there to the second.

    first, second: the balls of those two meetings, None where it never came to it.
    both_at_once: the two object balls were met at the same instant.
    """

    before: tuple[str, ...]
    after: tuple[str, ...]
    first: str | None
    second: str | None
    both_at_once: bool = False


def course(contacts: Sequence[Contact]) -> Course:
    """Follow the cue ball to its second object ball; what comes later is left out.

    A rail at the same instant as a ball is not before it, whichever was named first
    (KNBB handbook for referees 2011: third cushion and second ball together, no point).
    """
    before: list[str] = []
    after: list[str] = []
    first: str | None = None
    for group in instants(contacts):
        rails = [one.rail for one in group if one.rail]
        balls = list(dict.fromkeys(one.ball for one in group if one.ball))
        others = [ball for ball in balls if ball != first]
        if first is not None and others:
            return Course(tuple(before), tuple(after), first, others[0])
        if first is None and others:
            first = others[0]
            if len(others) > 1:
                return Course(tuple(before), (), first, others[1], both_at_once=True)
        (before if first is None else after).extend(rails)
    return Course(tuple(before), tuple(after), first, None)
