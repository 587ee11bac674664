"""People: who reads and changes them, passwords that are handed over, the last administrator."""

import datetime
import re

import pytest
from django.contrib.auth import get_user_model
from django.test import Client

from scoring import people as do
from scoring.access import Actor, Forbidden, access_person
from scoring.models import Club, Pen, Player, Role
from scoring.models.base import today
from scoring.rules.said import Malformed
from tests import cast

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def administrator():
    return cast.make_role(Role.Kind.ADMINISTRATOR, name="ilse")


@pytest.fixture
def desk(administrator) -> Client:
    client = Client()
    client.force_login(administrator, backend="django.contrib.auth.backends.ModelBackend")
    return client


def roles_of(user) -> list[str]:
    return [role.kind for role in Role.objects.current(user).order_by("pk")]


def make(desk: Client, username: str, **fields) -> tuple[str, str]:
    """Make a user on the page; return the page and the password it shows."""
    said = desk.post("/people/new/", {"username": username, **fields}).content.decode()
    shown = re.search(r"<code>([a-z2-9-]+)</code>", said)
    return said, shown[1] if shown else ""


def test_a_user_is_made_with_a_password_that_opens_one_page_alone(desk):
    player = cast.make_player("Karnhof")
    said, password = make(desk, "emil", player=player.pk)
    assert "shown this once" in said
    user = get_user_model().objects.get(username="emil")
    assert user.player == player
    assert password not in user.password
    visitor = Client()
    assert visitor.post("/sign-in/", {"username": "emil", "password": password}).status_code == 302
    assert visitor.get("/matches/")["Location"] == "/password/"
    assert visitor.get("/api/matches/").status_code == 403
    assert "handed to you" in visitor.get("/password/").content.decode()
    own = "a cue, a chalk and a rail"
    form = {"old_password": password, "new_password1": own, "new_password2": own}
    assert visitor.post("/password/", form).status_code == 302
    assert visitor.get("/matches/").status_code == 200
    assert visitor.get("/api/matches/").status_code == 200


def test_a_new_password_ends_the_old_one_and_what_it_opened(desk):
    cast.make_user("tove", password="an old rail and a new ball")
    visitor = Client()
    visitor.post("/sign-in/", {"username": "tove", "password": "an old rail and a new ball"})
    assert visitor.get("/you/").status_code == 200
    user = get_user_model().objects.get(username="tove")
    answer = desk.post(f"/people/{user.pk}/password/")
    password = re.search(r"<code>([a-z2-9-]+)</code>", answer.content.decode())[1]
    assert "no-store" in answer["Cache-Control"]
    assert visitor.get("/you/").status_code == 302
    user.refresh_from_db()
    assert user.check_password(password)
    assert user.password_handed_over


def test_ones_own_password_is_changed_where_the_old_one_is_asked(desk, administrator):
    before = administrator.password
    assert desk.post(f"/people/{administrator.pk}/password/")["Location"] == "/password/"
    administrator.refresh_from_db()
    assert administrator.password == before


@pytest.mark.parametrize("name", ["", "two words", "ILSE", "ilse", "x" * 151, "a\0b", "<b>"])
def test_a_name_that_cannot_be_signed_in_with_is_sent_back(desk, name):
    said, password = make(desk, name)
    assert "One thing is to be mended" in said
    assert password == ""
    assert get_user_model().objects.count() == 1


def test_a_player_of_somebody_else_is_not_offered(desk):
    taken = cast.make_player("Quendal", user=cast.make_user("mira"))
    said, password = make(desk, "emil", player=taken.pk)
    assert "Choose one of the list" in said or "is to be mended" in said
    assert password == ""
    with pytest.raises(Malformed):
        do.do_link_player(cast.make_user("noor"), taken)
    taken.refresh_from_db()
    assert taken.user.username == "mira"


def test_a_player_is_linked_moved_and_unlinked(desk):
    user, first, second = cast.make_user("mira"), cast.make_player("Quendal"), cast.make_player("Astavik")
    for chosen in (first, second):
        desk.post(f"/people/{user.pk}/player/", {"player": chosen.pk})
        assert Player.objects.get(user=user) == chosen
    desk.post(f"/people/{user.pk}/player/", {"player": ""})
    assert not Player.objects.filter(user=user).exists()


def test_a_role_is_given_for_a_time_and_a_competition(desk):
    user, cup = cast.make_user("mira"), cast.make_competition()
    last = today() + 9 * DAY
    form = {"kind": "organiser", "competition": cup.pk, "until": last.isoformat()}
    assert desk.post(f"/people/{user.pk}/role/", form).status_code == 302
    role = Role.objects.get(user=user)
    assert (role.kind, role.competition, role.since, role.until) == ("organiser", cup, today(), last)
    assert Actor(user).organises(cup.club_id, cup.pk)
    assert not Actor(user).organises_a_club()
    assert cup.name in desk.get(f"/people/{user.pk}/").content.decode()


@pytest.mark.parametrize(
    "form",
    [
        {},
        {"kind": "king"},
        {"kind": "referee", "competition": "9999"},
        {"kind": "referee", "since": "yesterday"},
        {"kind": "referee", "since": "2026-09-02", "until": "2026-09-01"},
        {"kind": "administrator", "competition": "own"},
    ],
)
def test_a_role_that_cannot_be_given_is_sent_back(desk, form):
    user = cast.make_user("mira")
    if form.get("competition") == "own":
        form = form | {"competition": cast.make_competition().pk}
    answer = desk.post(f"/people/{user.pk}/role/", form)
    assert "is to be mended" in answer.content.decode()
    assert not Role.objects.filter(user=user).exists()


def test_a_role_is_not_given_twice_for_the_same_days(desk):
    user = cast.make_user("mira")
    for _again in range(2):
        desk.post(f"/people/{user.pk}/role/", {"kind": "referee"})
    assert roles_of(user) == ["referee"]


def test_a_role_ends_at_once_and_stays_on_record(desk):
    user = cast.make_role(Role.Kind.REFEREE, since=today() - 30 * DAY)
    role = Role.objects.get(user=user)
    desk.post(f"/people/roles/{role.pk}/end/")
    assert roles_of(user) == []
    role.refresh_from_db()
    assert role.until == today() - DAY
    assert "1 role that has ended" in desk.get(f"/people/{user.pk}/").content.decode()


def test_a_role_that_has_ended_keeps_its_last_day(desk):
    last = today() - 20 * DAY
    user = cast.make_role(Role.Kind.REFEREE, since=last - DAY, until=last)
    role = Role.objects.get(user=user)
    desk.post(f"/people/roles/{role.pk}/end/")
    role.refresh_from_db()
    assert role.until == last


def test_the_last_administrator_stays_one(desk, administrator):
    role = Role.objects.get(user=administrator)
    said = desk.post(f"/people/roles/{role.pk}/end/", follow=True).content.decode()
    assert "This is the last administrator" in said
    assert roles_of(administrator) == ["administrator"]
    with pytest.raises(Malformed):
        do.do_set_active(administrator, False)
    # Somebody whose time runs out, or who is shut out, does not keep the club.
    cast.make_role(Role.Kind.ADMINISTRATOR, until=today() + DAY)
    get_user_model().objects.filter(pk=cast.make_role(Role.Kind.ADMINISTRATOR).pk).update(is_active=False)
    with pytest.raises(Malformed):
        do.do_end_role(role)
    second = cast.make_role(Role.Kind.ADMINISTRATOR)
    desk.post(f"/people/roles/{role.pk}/end/")
    assert roles_of(administrator) == []
    with pytest.raises(Malformed):
        do.do_end_role(Role.objects.get(user=second))


def test_a_superuser_keeps_the_club_too(administrator):
    cast.make_superuser()
    do.do_end_role(Role.objects.get(user=administrator))
    assert roles_of(administrator) == []
    assert [user.username for user in do.keepers()] == ["owner"]
    with pytest.raises(Malformed):
        do.do_set_active(get_user_model().objects.get(username="owner"), False)


def test_who_is_shut_out_is_out_at_once(desk):
    user = cast.make_referee(name="tove")
    visitor = Client()
    visitor.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    pen = Pen.objects.create(match=cast.make_match(), device="tablet", token_hash="0" * 64, user=user)
    assert visitor.get("/you/").status_code == 200
    desk.post(f"/people/{user.pk}/access/", {"to": "shut"})
    assert visitor.get("/you/").status_code == 302
    pen.refresh_from_db()
    assert pen.ended_at is not None
    desk.post(f"/people/{user.pk}/access/", {"to": "open"})
    user.refresh_from_db()
    assert user.is_active


def test_nobody_shuts_the_own_way_in(desk, administrator):
    cast.make_role(Role.Kind.ADMINISTRATOR)
    said = desk.post(f"/people/{administrator.pk}/access/", {"to": "shut"}, follow=True).content.decode()
    assert "another administrator does it" in said
    administrator.refresh_from_db()
    assert administrator.is_active


def test_an_administrator_leaves_superusers_alone(desk, administrator):
    owner = cast.make_superuser()
    with pytest.raises(Forbidden):
        access_person(Actor(administrator), owner)
    before = owner.password
    for what, form in (
        ("role", {"kind": "coach"}),
        ("player", {}),
        ("password", {}),
        ("access", {"to": "shut"}),
    ):
        assert desk.post(f"/people/{owner.pk}/{what}/", form).status_code == 403
    role = Role.objects.create(user=owner, club=Club.objects.the_first(), kind=Role.Kind.COACH)
    assert desk.post(f"/people/roles/{role.pk}/end/").status_code == 403
    owner.refresh_from_db()
    assert (owner.password, owner.is_active, roles_of(owner)) == (before, True, ["coach"])
    assert "Set a new password" not in desk.get(f"/people/{owner.pk}/").content.decode()


def test_an_organiser_reads_and_changes_nothing():
    client = Client()
    client.force_login(cast.make_organiser(), backend="django.contrib.auth.backends.ModelBackend")
    user = cast.make_user("mira")
    assert "mira" in client.get("/people/").content.decode()
    assert "Give it" not in client.get(f"/people/{user.pk}/").content.decode()
    assert client.post(f"/people/{user.pk}/role/", {"kind": "referee"}).status_code == 403
    assert client.get("/people/new/").status_code == 403


def test_an_organiser_of_one_competition_does_not_read_the_list():
    client = Client()
    organiser = cast.make_organiser(cast.make_competition())
    client.force_login(organiser, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/people/").status_code == 403


@pytest.mark.parametrize("what", ["role", "player", "password", "access"])
def test_changes_are_posted(desk, what):
    user = cast.make_user("mira")
    assert desk.get(f"/people/{user.pk}/{what}/").status_code == 405
    assert desk.post(f"/people/987654/{what}/").status_code == 404


def test_a_handed_over_password_has_signs_that_are_read_off_without_doubt():
    passwords = {do.new_password() for _once in range(50)}
    assert len(passwords) == 50
    assert all(re.fullmatch(r"([a-hjkmnp-z2-9]{4}-){3}[a-hjkmnp-z2-9]{4}", one) for one in passwords)
