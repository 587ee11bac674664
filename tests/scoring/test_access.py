"""The right of every address, walked; and the rights of objects, actor by actor."""

from __future__ import annotations

import datetime

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from scoring import access
from scoring.access import (
    ADDRESSES,
    Actor,
    Forbidden,
    NotVisible,
    Right,
    access_competition,
    access_match,
    access_new_match,
    visible_competitions,
    visible_matches,
)
from scoring.coaching import do_ask
from scoring.importing import do_open_batch
from scoring.ledger import Author
from scoring.linking import do_make_link
from scoring.models import ApiToken, Club, Competition, Encounter, Match, Pen, Role, TableLink, hash_secret
from scoring.own_regulations import do_add_discipline, do_add_rule_set
from scoring.rules.disciplines import DISCIPLINES
from scoring.seasons import do_plan_season
from scoring.teams import do_enter_team
from tests import cast

WHO = ("anonymous", "nobody", "player", "referee", "organiser", "superuser")
IN = 200
# The objects of a World by the word that stands in the name of an address; the first that does counts.
OBJECTS = (
    "table-link", "person", "player", "table", "competition", "match", "role", "rule-set", "discipline",
    "session", "position", "coaching", "import-batch", "team", "encounter",
)  # fmt: skip

# What each right means for each of WHO, at an unpublished competition that does not let
# players score, and at a match of it in which the player is an entrant.
EXPECTED = {
    Right.ANYONE: (IN, IN, IN, IN, IN, IN),
    Right.SIGNED_IN: (401, IN, IN, IN, IN, IN),
    Right.ORGANISE: (401, 403, 403, 403, IN, IN),
    Right.ADMINISTER: (401, 403, 403, 403, 403, IN),
    Right.ENROL: (401, 403, 403, IN, IN, IN),
    Right.ARRANGE: (401, 403, IN, IN, IN, IN),
    Right.COMPETITION_READ: (404, 404, 404, IN, IN, IN),
    Right.COMPETITION_MANAGE: (404, 404, 404, 403, IN, IN),
    Right.LINK: (401, 403, 403, 403, IN, IN),
    # The player is the captain of the home team.
    Right.LEAGUE_READ: (404, 404, IN, IN, IN, IN),
    Right.LEAGUE_MANAGE: (404, 404, 403, 403, IN, IN),
    Right.ENCOUNTER_WRITE: (404, 404, IN, 403, IN, IN),
    Right.MATCH_READ: (404, 404, IN, IN, IN, IN),
    Right.MATCH_WRITE: (404, 404, 403, IN, IN, IN),
    Right.MATCH_CORRECT: (404, 404, 403, 403, IN, IN),
    Right.PLAYER_READ: (IN, IN, IN, IN, IN, IN),
    Right.REPORT_READ: (404, 404, IN, 404, IN, IN),
    Right.PLAYER_EDIT: (401, 403, IN, 403, IN, IN),
    Right.COACH: (401, 403, 403, 403, 403, 403),
    Right.SESSION_READ: (404, 404, IN, 404, 404, 404),
    Right.SESSION_WRITE: (404, 404, IN, 404, 404, 404),
    Right.POSITION_READ: (404, 404, IN, 404, 404, 404),
    Right.POSITION_EDIT: (404, 404, IN, 404, 404, 404),
    Right.COACHING_ANSWER: (404, 404, IN, 404, 404, 404),
}


def named_patterns(resolver=None, names=()):
    """Yield (name, pattern) of every address, the name with its namespaces."""
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            inner = (*names, pattern.namespace) if pattern.namespace else names
            yield from named_patterns(pattern, inner)
        else:
            assert isinstance(pattern, URLPattern)
            yield ":".join((*names, pattern.name or "")), pattern


class World:
    """Everybody of WHO around one match of an unpublished competition."""

    def __init__(self) -> None:
        self.competition = cast.make_competition()
        self.table = cast.make_table()
        self.player = cast.make_player("Quendal", user=cast.make_user("mira"))
        self.match = cast.make_match(
            self.player, cast.make_player("Vilemeer"), competition=self.competition, table=self.table
        )
        self.table_link = do_make_link(self.competition, self.table)
        self.person = cast.make_user("person")
        self.role = Role.objects.create(user=self.person, club=self.match.club, kind=Role.Kind.COACH)
        self.session = cast.make_session(self.player)
        self.position = cast.make_position(self.player.user)
        self.coaching = do_ask(self.person, self.player)
        self.import_batch = do_open_batch(
            self.match.club, self.person, "players", "players.csv", b"name;number\nTove Brinsel;\n"
        )
        self.rule_set = do_add_rule_set(
            self.match.club, {"code": "own", "name": "Own", "rail_frozen": "uncounted"}
        )
        game = DISCIPLINES["three-cushion"].to_json() | {"code": "own", "name": "Own"}
        self.discipline = do_add_discipline(self.match.club, game)
        self.users = {
            "anonymous": None,
            "nobody": cast.make_user("nobody"),
            "player": self.player.user,
            "referee": cast.make_referee(name="referee"),
            "organiser": cast.make_organiser(name="organiser"),
            "superuser": cast.make_superuser(),
        }

    def begin_season(self) -> None:
        """Let two teams meet in the competition, the first one with the player as its captain."""
        if hasattr(self, "team"):
            return
        author = Author(organises=True)
        self.team = do_enter_team(self.competition, "Red Chalk", author, captain=self.player)
        do_enter_team(self.competition, "Blue Chalk", author)
        do_plan_season(self.competition, author)
        self.encounter = Encounter.objects.get(round=1)

    def path(self, name: str, pattern: URLPattern, who: str) -> str:
        """Return the address of `name`, filled in with the objects of this world."""
        if not pattern.pattern.converters:
            return reverse(name)
        if ADDRESSES[name].get("GET") in (Right.LEAGUE_READ, Right.LEAGUE_MANAGE):
            self.begin_season()
        if "other" in pattern.pattern.converters:
            return reverse(name, kwargs={"pk": self.player.pk, "other": self.match.entrant_b_id})
        if "family" in pattern.pattern.converters:
            return reverse(name, kwargs={"pk": self.player.pk, "family": "bank"})
        if "uuid" in pattern.pattern.converters:
            keys = {"uuid": self.competition.uuid, "part": "standings"}
            return reverse(name, kwargs={key: keys[key] for key in pattern.pattern.converters})
        if "token" in name:
            token, _key = ApiToken.objects.issue(self.users[who] or self.users["nobody"], "tablet")
            return reverse(name, kwargs={"pk": token.pk})
        for word in OBJECTS:
            if word in name:
                return reverse(name, kwargs={"pk": getattr(self, word.replace("-", "_")).pk})
        raise AssertionError(f"say which object {name} is about")


def outcome(response) -> int:
    """Return IN for whoever was let in, else the status; a way to the sign-in page is a 401."""
    if response.status_code == 302 and response["Location"].startswith(reverse("sign-in")):
        return 401
    assert response.status_code < 500
    if response.streaming:
        response.getvalue()  # a file is closed once it was fetched
    return response.status_code if response.status_code in (401, 403, 404) else IN


def test_every_address_has_a_right_and_every_right_an_address():
    found = {name for name, _pattern in named_patterns()}
    assert found == set(ADDRESSES)


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(ADDRESSES))
def test_address_lets_in_whom_it_says(name):
    patterns = dict(named_patterns())
    world = World()
    for method, right in ADDRESSES[name].items():
        answers = []
        for who in WHO:
            client = cast.client_for(world.users[who])
            path = world.path(name, patterns[name], who)
            body = {} if method in ("POST", "PATCH", "PUT") and path.startswith("/api/") else None
            answers.append(outcome(client.generic(method, path, *_sent(body))))
        assert tuple(answers) == EXPECTED[right], (name, method)


def _sent(body):
    return ("{}", "application/json") if body is not None else ()


@pytest.mark.django_db
def test_an_address_that_is_not_listed_is_shut(monkeypatch):
    monkeypatch.setattr(access, "ADDRESSES", {})
    assert cast.client_for().get("/api/tables/").status_code == 401
    assert cast.client_for(cast.make_superuser()).get("/api/tables/").status_code == 403


@pytest.mark.django_db
def test_a_stranger_is_told_how_to_authenticate():
    answer = cast.client_for().post("/api/players/", {"name": "Tove Brinsel"}, format="json")
    assert answer.status_code == 401
    assert answer["WWW-Authenticate"] == "Token"


# --- objects -----------------------------------------------------------------


def right_of(actor: Actor, match: Match) -> str:
    """Return the furthest right of `actor` at a match: none, read, write or correct."""
    reached = "none"
    for right in ("read", "write", "correct"):
        try:
            access_match(actor, match, right)
        except NotVisible:
            assert right == "read" or reached == "none"
            return "none"
        except Forbidden:
            return reached
        reached = right
    return reached


@pytest.mark.django_db
def test_match_of_an_unpublished_competition():
    world = World()
    other_cup = cast.make_competition("Winter Cup")
    furthest = {who: right_of(Actor(user), world.match) for who, user in world.users.items()}
    assert furthest == {
        "anonymous": "none",
        "nobody": "none",
        "player": "read",
        "referee": "write",
        "organiser": "correct",
        "superuser": "correct",
    }
    assert right_of(Actor(cast.make_referee(world.competition)), world.match) == "write"
    assert right_of(Actor(cast.make_organiser(world.competition)), world.match) == "correct"
    assert right_of(Actor(cast.make_referee(other_cup)), world.match) == "none"
    assert right_of(Actor(cast.make_organiser(other_cup)), world.match) == "none"
    assert right_of(Actor(cast.make_role(Role.Kind.COACH)), world.match) == "none"
    assert right_of(Actor(cast.make_role(Role.Kind.ADMINISTRATOR)), world.match) == "correct"


@pytest.mark.django_db
def test_publishing_lets_everybody_read_and_nobody_else_write():
    world = World()
    Competition.objects.update(published=True)
    world.match.refresh_from_db()
    for who in ("anonymous", "nobody", "player"):
        assert right_of(Actor(world.users[who]), world.match) == "read"


@pytest.mark.django_db
def test_players_write_where_the_competition_lets_them():
    world = World()
    Competition.objects.update(players_score=True)
    match = Match.objects.get()
    assert right_of(Actor(world.users["player"]), match) == "write"
    assert right_of(Actor(world.users["nobody"]), match) == "none"


@pytest.mark.django_db
def test_match_without_competition_is_private():
    world = World()
    organiser = world.users["organiser"]
    alone = cast.make_match(world.player, cast.make_player("Astavik"), created_by=organiser)
    furthest = {who: right_of(Actor(user), alone) for who, user in world.users.items()}
    assert furthest == {
        "anonymous": "none",
        "nobody": "none",
        "player": "read",
        "referee": "none",
        "organiser": "correct",
        "superuser": "correct",
    }
    own = cast.make_match(world.player, cast.make_player("Karnhof"), created_by=world.player.user)
    assert right_of(Actor(world.player.user), own) == "write"
    refereed = cast.make_match(created_by=world.users["referee"])
    assert right_of(Actor(world.users["referee"]), refereed) == "write"


@pytest.mark.django_db
def test_who_held_the_pen_of_a_private_match_may_read_it():
    world = World()
    alone = cast.make_match()
    now = timezone.now()
    Pen.objects.create(
        match=alone, device="tablet", token_hash="0" * 64, user=world.users["nobody"], ended_at=now
    )
    assert right_of(Actor(world.users["nobody"]), alone) == "read"


@pytest.mark.django_db
def test_a_role_holds_from_its_first_to_its_last_day():
    world = World()
    today = timezone.localdate()
    day = datetime.timedelta(days=1)
    over = cast.make_role(Role.Kind.ORGANISER, since=today - 9 * day, until=today - day)
    to_come = cast.make_role(Role.Kind.ORGANISER, since=today + day)
    last_day = cast.make_role(Role.Kind.ORGANISER, since=today - 9 * day, until=today)
    assert right_of(Actor(over), world.match) == "none"
    assert right_of(Actor(to_come), world.match) == "none"
    assert right_of(Actor(last_day), world.match) == "correct"


def make_link(table, competition, token: str) -> TableLink:
    return TableLink.objects.create(
        table=table,
        competition=competition,
        token_hash=hash_secret(token),
        code_hash=hash_secret("code" + token),
        expires=timezone.now() + datetime.timedelta(days=1),
    )


@pytest.mark.django_db
def test_a_table_link_writes_the_matches_of_its_table_in_its_competition():
    world = World()
    link = make_link(world.table, world.competition, "one")
    other_table = make_link(cast.make_table("Table 2"), world.competition, "two")
    other_cup = make_link(world.table, cast.make_competition("Winter Cup"), "three")
    assert right_of(Actor(link=link), world.match) == "write"
    assert right_of(Actor(link=other_table), world.match) == "none"
    assert right_of(Actor(link=other_cup), world.match) == "none"
    alone = cast.make_match(table=world.table)
    assert right_of(Actor(link=link), alone) == "none"
    access_competition(Actor(link=link), world.competition, "read")
    with pytest.raises(Forbidden):
        access_competition(Actor(link=link), world.competition, "manage")
    Competition.objects.update(published=True)
    assert right_of(Actor(link=other_table), Match.objects.get(pk=world.match.pk)) == "read"


@pytest.mark.django_db
def test_a_pen_writes_its_match_and_no_other():
    world = World()
    pen = Pen.objects.create(match=world.match, device="tablet", token_hash="1" * 64)
    second = cast.make_match(world.player, cast.make_player("Brinsel"), competition=world.competition)
    assert right_of(Actor(pen=pen), world.match) == "write"
    assert right_of(Actor(pen=pen), second) == "none"


@pytest.mark.django_db
def test_lists_hold_just_what_may_be_read():
    world = World()
    table2 = cast.make_table("Table 2")
    open_cup = cast.make_competition("Open Cup", published=True)
    cup_referee = cast.make_referee(open_cup)
    cast.make_match(competition=open_cup, table=world.table)
    cast.make_match(competition=world.competition, table=table2)
    cast.make_match(created_by=cup_referee)
    cast.make_match(world.player, cast.make_player("Sembray"))
    third = cast.make_match(created_by=world.users["nobody"])
    pen = Pen.objects.create(match=third, device="tablet", token_hash="2" * 64, user=cup_referee)
    actors = [Actor(user) for user in world.users.values()]
    actors += [Actor(cup_referee), Actor(cast.make_organiser(world.competition)), Actor(pen=pen)]
    actors += [Actor(link=make_link(world.table, world.competition, "one"))]
    sizes = set()
    for actor in actors:
        matches = {match.pk for match in Match.objects.all() if right_of(actor, match) != "none"}
        assert set(visible_matches(actor).values_list("pk", flat=True)) == matches
        sizes.add(len(matches))
        cups = set()
        for cup in Competition.objects.all():
            try:
                access_competition(actor, cup, "read")
                cups.add(cup.pk)
            except NotVisible:
                pass
        assert set(visible_competitions(actor).values_list("pk", flat=True)) == cups
    assert len(sizes) > 3


@pytest.mark.django_db
def test_who_may_arrange_a_match():
    world = World()
    club = Club.objects.the_first()
    entrants = world.match.entrant_ids
    for who, in_cup, alone in (
        ("anonymous", False, False),
        ("nobody", False, False),
        ("player", False, True),
        ("referee", True, True),
        ("organiser", True, True),
        ("superuser", True, True),
    ):
        for competition, allowed in ((world.competition, in_cup), (None, alone)):
            actor = Actor(world.users[who])
            if allowed:
                access_new_match(actor, club, competition, entrants)
            else:
                with pytest.raises(Forbidden):
                    access_new_match(actor, club, competition, entrants)
    with pytest.raises(Forbidden):
        access_new_match(Actor(world.player.user), club, None, [0, -1])
