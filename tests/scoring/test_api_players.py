"""Players: whose name is shown to whom, who may change what, and what erasing leaves."""

from __future__ import annotations

import pytest

from scoring.models import ExternalNumber, Player, PlayerName
from tests import cast

pytestmark = pytest.mark.django_db


def names(client, query: str = "") -> list[str]:
    answer = client.get(f"/api/players/{query}")
    assert answer.status_code == 200, answer.content
    return [row["name"] for row in answer.json()["results"]]


@pytest.fixture
def club():
    """Four players: whole name, shortened, agreed but not published, not agreed."""
    return [
        cast.make_player("Quendal", consent="full", published=True),
        cast.make_player("Vilemeer", consent="shortened", published=True),
        cast.make_player("Astavik", consent="full", published=False),
        cast.make_player("Karnhof", consent="none", published=True),
    ]


def test_strangers_see_the_names_that_were_agreed_to_and_published(club):
    assert names(cast.client_for()) == ["Mira Quendal", "Joost V."]


def test_who_is_signed_in_sees_whole_names(club):
    everybody = ["Mira Quendal", "Joost Vilemeer", "Ronja Astavik", "Emil Karnhof"]
    assert names(cast.client_for(cast.make_user())) == everybody


def test_one_player_shows_a_stranger_no_more_than_the_list(club):
    stranger = cast.client_for()
    rows = [stranger.get(f"/api/players/{player.pk}/").json() for player in club]
    assert [row["name"] for row in rows] == [
        "Mira Quendal",
        "Joost V.",
        f"Player {club[2].pk}",
        f"Player {club[3].pk}",
    ]
    assert all(row["family"] is None and row["given"] is None and row["user"] is None for row in rows)


def test_a_search_finds_only_what_it_may_show(club):
    stranger, member = cast.client_for(), cast.client_for(cast.make_user())
    assert names(stranger, "?search=quendal") == ["Mira Quendal"]
    assert names(stranger, "?search=vilemeer") == []
    assert names(stranger, "?search=karn") == []
    assert names(member, "?search=MEER+joost") == ["Joost Vilemeer"]
    assert member.get("/api/players/?search=%00").status_code == 400


def test_a_search_needs_no_accents():
    player = Player.objects.enrol("Zoë", "Brinsél")
    assert list(Player.objects.matching("brinsel ZOE")) == [player]
    assert not Player.objects.matching("brinsel tove").exists()


def test_erasing_a_name_leaves_the_player():
    player = cast.make_player("Oudewaal", consent="full", published=True)
    match = cast.make_match(player, cast.make_player("Perrolt"))
    player.erase_name()
    assert player.full_name == f"Player {player.pk}"
    again = Player.objects.get(pk=player.pk)
    assert again.surname == again.shown_name(True) == f"Player {player.pk}"
    assert not PlayerName.objects.filter(player=player).exists()
    assert not Player.objects.matching("oudewaal").exists()
    assert list(type(match).objects.of_player(again)) == [match]
    assert names(cast.client_for()) == []


def test_a_name_is_split_before_its_last_word():
    client = cast.client_for(cast.make_organiser())
    answer = client.post("/api/players/", {"name": "Noor van der Sembray"}, format="json").json()
    assert (answer["given"], answer["family"]) == ("Noor van der", "Sembray")
    single = client.post("/api/players/", {"name": "Brinsel"}, format="json").json()
    assert (single["given"], single["family"], single["name"]) == ("", "Brinsel", "Brinsel")


def test_organisers_link_a_user_and_nobody_else_does():
    mira = cast.make_user("mira")
    player = cast.make_player("Quendal")
    path = f"/api/players/{player.pk}/"
    for client in (cast.client_for(mira), cast.client_for(cast.make_referee())):
        assert client.patch(path, {"user": "mira"}, format="json").status_code == 403
    organiser = cast.client_for(cast.make_organiser())
    answer = organiser.patch(path, {"user": "mira"}, format="json")
    assert (answer.status_code, answer.json()["user"]) == (200, "mira")
    taken = organiser.post("/api/players/", {"name": "Tove Brinsel", "user": "mira"}, format="json")
    assert (taken.status_code, list(taken.json())) == (400, ["user"])
    assert organiser.patch(path, {"user": None}, format="json").json()["user"] is None
    player.refresh_from_db()
    assert player.user is None


def test_a_player_decides_on_consent_and_report_alone():
    mira = cast.make_player("Quendal", user=cast.make_user("mira"))
    other = cast.make_player("Astavik")
    client = cast.client_for(mira.user)
    own = client.patch(f"/api/players/{mira.pk}/", {"consent": "full", "report_open": True}, format="json")
    assert own.status_code == 200
    assert (own.json()["consent"], own.json()["report_open"]) == ("full", True)
    for body in ({"published": True}, {"name": "Mira Astavik"}, {"guest": True}, {"user": None}):
        assert client.patch(f"/api/players/{mira.pk}/", body, format="json").status_code == 403
    assert client.patch(f"/api/players/{other.pk}/", {"consent": "full"}, format="json").status_code == 403
    organiser = cast.client_for(cast.make_organiser())
    opened = organiser.patch(f"/api/players/{mira.pk}/", {"report_open": False}, format="json")
    assert opened.status_code == 403


def test_a_referee_enrols_guests_only():
    client = cast.client_for(cast.make_referee())
    assert client.post("/api/players/", {"name": "Tove Brinsel"}, format="json").status_code == 403
    guest = client.post("/api/players/", {"name": "Tove Brinsel", "guest": True}, format="json")
    assert (guest.status_code, guest.json()["guest"]) == (201, True)
    linked = {"name": "Ilse Oudewaal", "guest": True, "user": cast.make_user("ilse").username}
    assert client.post("/api/players/", linked, format="json").status_code == 403


def test_an_organiser_of_one_competition_enrols_but_links_nobody():
    client = cast.client_for(cast.make_organiser(cast.make_competition()))
    assert client.post("/api/players/", {"name": "Tove Brinsel"}, format="json").status_code == 201
    linked = {"name": "Ilse Oudewaal", "user": cast.make_user("ilse").username}
    assert client.post("/api/players/", linked, format="json").status_code == 403


def test_external_numbers_belong_to_one_player():
    client = cast.client_for(cast.make_organiser())
    number = {"issuer": "KVB", "number": "1207"}
    first = client.post(
        "/api/players/", {"name": "Tove Brinsel", "external_numbers": [number]}, format="json"
    )
    assert first.json()["external_numbers"] == [number]
    second = client.post(
        "/api/players/", {"name": "Noor Sembray", "external_numbers": [number]}, format="json"
    )
    assert (second.status_code, list(second.json())) == (400, ["external_numbers"])
    again = client.patch(f"/api/players/{first.json()['id']}/", {"external_numbers": [number]}, format="json")
    assert again.status_code == 200
    assert ExternalNumber.objects.count() == 1
    assert (
        cast.client_for(cast.make_user())
        .get(f"/api/players/{first.json()['id']}/")
        .json()["external_numbers"]
        == []
    )


def test_a_merged_player_is_listed_no_more():
    kept, merged = cast.make_player("Quendal"), cast.make_player("Quendal")
    Player.objects.filter(pk=merged.pk).update(merged_into=kept)
    assert names(cast.client_for(cast.make_user())) == ["Mira Quendal"]
