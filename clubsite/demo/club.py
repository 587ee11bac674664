"""Sets up the demo club: people, tables, competitions, and matches without an entry yet.

Everything has a fixed uuid: what is there already stays as it is, what is missing is made.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth import get_user_model
from django.db import transaction
from django.utils import timezone

from clubsite.demo.fixture import begins_at, named
from scoring.arrange import do_arrange_match
from scoring.models import Club, Competition, Group, Match, Membership, Player, PlayTable, Role, Stage

Fixture = Mapping[str, Any]


class ForeignClub(Exception):
    """The database belongs to a real club."""


@dataclass
class DemoClub:
    """The rows of the demo, by the codes of the fixture; `now` is when it was first set up."""

    club: Club
    now: datetime.datetime
    users: dict[str, Any]
    players: dict[str, Player]
    tables: dict[int, PlayTable]
    competitions: dict[str, Competition]
    groups: dict[str, Group]
    matches: dict[str, Match]

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.club.time_zone)

    @property
    def player_ids(self) -> dict[str, int]:
        return {code: player.pk for code, player in self.players.items()}


@transaction.atomic
def do_set_up(fixture: Fixture) -> DemoClub:
    """Make what is missing of the demo club; all of it, or nothing.

    Raises ForeignClub where the database holds anything but the demo.
    """
    demo = DemoClub(_club(fixture), _first_set_up(fixture), {}, {}, {}, {}, {}, {})
    for row in fixture["tables"]:
        demo.tables[row["number"]], _ = PlayTable.objects.get_or_create(
            uuid=named("table", row["number"]), defaults={"club": demo.club} | row
        )
    for row in fixture["users"]:
        demo.users[row["name"]] = _user(demo, row)
    accounts = {row["player"]: demo.users[row["name"]] for row in fixture["users"] if "player" in row}
    for row in fixture["players"]:
        demo.players[row["code"]] = _player(demo, row, accounts.get(row["code"]))
    for row in fixture["competitions"]:
        demo.competitions[row["code"]] = _competition(demo, row)
    for row in fixture["matches"]:
        demo.matches[row["code"]] = _match(demo, row)
    return demo


def _club(fixture: Fixture) -> Club:
    uuid = named("club", "lantern-street")
    own = Club.objects.filter(uuid=uuid).first()
    if own is not None:
        if Club.objects.exclude(pk=own.pk).exists():
            raise ForeignClub
        return own
    if any(model.objects.exists() for model in (get_user_model(), Player, PlayTable, Competition, Match)):
        raise ForeignClub
    # A site that was looked at before has made a club at its first need; it holds nothing.
    if Club.objects.count() > 1:
        raise ForeignClub
    club = Club.objects.first() or Club()
    club.uuid, club.name, club.time_zone = uuid, fixture["club"]["name"], fixture["club"]["time_zone"]
    club.save()
    return club


def _first_set_up(fixture: Fixture) -> datetime.datetime:
    """Return when the demo was first set up, told by a match that began so long before."""
    row = next(row for row in fixture["matches"] if "minutes_ago" in row)
    match = Match.objects.filter(uuid=named("match", row["code"])).first()
    if match is None or match.scheduled_at is None:
        return timezone.now().replace(microsecond=0)
    return match.scheduled_at + datetime.timedelta(minutes=row["minutes_ago"])


def _user(demo: DemoClub, row: Mapping[str, Any]) -> Any:
    users = get_user_model().objects
    uuid = named("user", row["name"])
    user = users.filter(uuid=uuid).first()
    if user is None:
        user = users.create_user(username=row["name"], password=row["password"], uuid=uuid)
    if "role" in row:
        Role.objects.get_or_create(
            uuid=named("role", row["name"]),
            defaults={"user": user, "club": demo.club, "kind": row["role"], "since": _day(demo, 400)},
        )
    return user


def _player(demo: DemoClub, row: Mapping[str, Any], account: Any) -> Player:
    uuid = named("player", row["code"])
    player = Player.objects.filter(uuid=uuid).first()
    if player is None:
        player = Player.objects.enrol(
            row["given"], row["family"], uuid=uuid, consent=row["consent"], published=True, user=account
        )
    Membership.objects.get_or_create(
        uuid=named("membership", row["code"]),
        defaults={"player": player, "club": demo.club, "since": _day(demo, 400)},
    )
    return player


def _competition(demo: DemoClub, row: Mapping[str, Any]) -> Competition:
    competition, _ = Competition.objects.get_or_create(
        uuid=named("competition", row["code"]),
        defaults={
            "club": demo.club,
            "starts_on": _day(demo, row["starts_days_ago"]),
            "created_by": demo.users["organiser"],
        }
        | {name: row[name] for name in ("name", "discipline", "published", "players_score", "format")},
    )
    for place, stage_row in enumerate(row["stages"]):
        stage, _ = Stage.objects.get_or_create(
            uuid=named("stage", f"{row['code']}:{place}"),
            defaults={
                "competition": competition,
                "order": place,
                "name": stage_row["name"],
                "kind": stage_row["kind"],
            },
        )
        for order, group in enumerate(stage_row["groups"]):
            demo.groups[group["code"]], _ = Group.objects.get_or_create(
                uuid=named("group", f"{row['code']}:{group['code']}"),
                defaults={"stage": stage, "order": order, "name": group["name"]},
            )
    return competition


def _match(demo: DemoClub, row: Mapping[str, Any]) -> Match:
    uuid = named("match", row["code"])
    match = Match.objects.filter(uuid=uuid).first()
    if match is not None:
        return match
    competition = demo.competitions.get(row.get("competition", ""))
    first, second = row["players"]
    return do_arrange_match(
        club=demo.club,
        players=(demo.players[first], demo.players[second]),
        discipline=row.get("discipline"),
        competition=competition,
        group=demo.groups.get(row.get("group", "")),
        table=demo.tables[row["table"]],
        format=row.get("format", {}) | {"distance": row["distance"]},
        created_by=demo.users["organiser" if competition else "referee"],
        scheduled_at=begins_at(row, demo.now, demo.zone),
        uuid=uuid,
    )


def _day(demo: DemoClub, days_ago: int) -> datetime.date:
    return demo.now.astimezone(demo.zone).date() - datetime.timedelta(days=days_ago)
