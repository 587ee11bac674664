"""Two records of one player, read as one and as two again."""

import datetime
import re

import pytest
from django.urls import reverse

from scoring import importing
from scoring.access import Actor
from scoring.conducting import do_record
from scoring.drawing import Asked, do_draw
from scoring.handicapping import own_distances
from scoring.ledger import Author
from scoring.merging import do_merge, do_undo_merge, proposals
from scoring.models import Club, ExternalNumber, HandicapDistance, Match, Player, PlayerMerge, StandingSums
from scoring.publishing import do_publish
from scoring.rules.match.checks import Refused
from scoring.totals import read_totals
from tests import cast
from tests.scoring.event.league import League

NAMES = ("Mira Quendal", "Joost Vilemeer", "Ronja Astavik", "Emil Karnhof")


def results(seed: int) -> str:
    """Return a list of results in which the second Mira meets everybody but the first."""
    lines = ["Date;Player 1;Player 2;Points 1;Points 2;Innings;High run 1;High run 2"]
    for place in range(10):
        first, second = (place + seed) % 4, (place * place + seed + 1) % 4
        if first == second:
            second = (second + 1) % 4
        name = "Mira Quendel" if place % 3 == 0 and first == 0 else NAMES[first]
        high = place + 1
        lines.append(
            f"{place + 1}-9-20{10 + seed};{name};{NAMES[second]};{high * 3};{20 + place};{15 + place};{high};9"
        )
    lines.append(f"11-9-20{10 + seed};Mira Quendel;Emil Karnhof;30;11;14;8;4")
    return "\n".join(lines)


@pytest.fixture
def club(db):
    return Club.objects.the_first()


def bring(club, seed=1, competition=None):
    batch = importing.do_open_batch(club, None, "results", "old.csv", results(seed).encode(), competition)
    importing.do_set(batch, {"same_names": True})
    importing.do_write(batch, None)
    return (Player.objects.get(name__family=family) for family in ("Quendel", "Quendal"))


def everything(cup, client) -> list:
    """Return all that is told of the players, as pages and programs read it."""
    paths = [reverse("api-competition-standings", args=[cup.pk]), reverse("api-players")]
    paths += [reverse("competition-standings", args=[cup.pk]), reverse("api-season")]
    for player in Player.objects.filter(name__family__startswith="Quend").order_by("pk"):
        paths += [reverse(name, args=[player.pk]) for name in ("api-player", "api-player-report", "player")]
    answers = [(path, one.status_code, one.content) for path in paths for one in [client.get(path)]]
    totals = [
        read_totals([pk], Match.objects.all())
        for pk in Player.objects.order_by("pk").values_list("pk", flat=True)
    ]
    return [
        [(path, status, _without_token(body)) for path, status, body in answers],
        totals,
        list(Player.objects.order_by("pk").values()),
    ]


def _without_token(body: bytes) -> bytes:
    """Return an answer without what tells one answer from the next: a form's token, and the moment."""
    lines = (line for line in body.splitlines() if b"csrfmiddlewaretoken" not in line)
    return re.sub(rb'"computed_at":"[^"]*"', b"", b"\n".join(lines))


@pytest.mark.both_databases
@pytest.mark.parametrize("seed", [1, 2])
def test_a_merge_and_its_undoing_leave_no_trace(club, seed):
    cup = cast.make_competition(published=True)
    gone, into = bring(club, seed, cup)
    client = cast.client_for(cast.make_organiser())
    before = everything(cup, client)
    merge = do_merge(gone, into, None, "one person")
    assert everything(cup, client) != before
    do_undo_merge(merge, None)
    for now, then in zip(everything(cup, client), before, strict=True):
        assert now == then


def test_readers_know_merged_records_as_one(club):
    cup = cast.make_competition()
    gone, into = bring(club, 1, cup)
    apart = [read_totals([one.pk], Match.objects.all())[0] for one in (gone, into)]
    do_merge(gone, into, None)
    client = cast.client_for(cast.make_organiser())
    rows = client.get(reverse("api-competition-standings", args=[cup.pk])).json()["rows"]
    own = [row for row in rows if row["player"] in (gone.pk, into.pk)]
    points, innings = (sum(getattr(one, name) for one in apart) for name in ("points", "innings"))
    assert [(row["player"], row["points"], row["innings"]) for row in own] == [(into.pk, points, innings)]
    report = client.get(reverse("api-player-report", args=[into.pk])).json()
    assert (report["player"], report["points"], report["innings"]) == (into.pk, points, innings)
    answer = client.get(reverse("player", args=[gone.pk]))
    assert answer["Location"] == reverse("player", args=[into.pk])
    listed = client.get(reverse("api-players")).json()["results"]
    assert gone.pk not in [one["id"] for one in listed]


def test_the_user_of_the_gone_record_owns_both(club):
    gone, into = bring(club)
    user = cast.make_user()
    Player.objects.filter(pk=gone.pk).update(user=user)
    assert Actor(user).own_players == {gone.pk}
    merge = do_merge(gone, into, None)
    assert Actor(user).own_players == {gone.pk, into.pk}
    assert cast.client_for(user).get(reverse("player-report", args=[into.pk])).status_code == 200
    do_undo_merge(merge, None)
    assert Actor(user).own_players == {gone.pk}


def test_chains_circles_and_two_people_are_refused(club):
    gone, into = bring(club)
    third = cast.make_player("Brinsel")
    do_merge(gone, into, None)
    for one, two in ((into, third), (third, gone), (gone, third), (into, gone), (into, into)):
        with pytest.raises(Refused):
            do_merge(one, two, None)
    # They meet: Emil played Mira's other record.
    emil = Player.objects.get(name__family="Karnhof")
    with pytest.raises(Refused) as met:
        do_merge(emil, into, None)
    assert met.value.code == "met"
    with_users = [cast.make_player(family, user=cast.make_user()) for family in ("Perrolt", "Sembray")]
    with pytest.raises(Refused) as two:
        do_merge(*with_users, None)
    assert (two.value.code, PlayerMerge.objects.count()) == ("two-users", 1)


def test_pairs_are_proposed_until_somebody_judged(club):
    gone, into = bring(club)
    other = cast.make_player("Oudewaal")
    ExternalNumber.objects.create(player=other, issuer="Union", number="00-71")
    ExternalNumber.objects.create(player=into, issuer="League", number="71")
    found = {frozenset((one.pk, two.pk)): why for one, two, why in proposals()}
    assert found == {frozenset((gone.pk, into.pk)): "name", frozenset((other.pk, into.pk)): "number"}
    do_undo_merge(do_merge(gone, into, None), None)
    assert len(proposals()) == 1


def test_the_page_shows_both_and_what_changes(club):
    gone, into = bring(club)
    client = cast.client_for(cast.make_organiser())
    address = reverse("players-merge")
    assert f"?gone={into.pk}&amp;into={gone.pk}" in client.get(address).content.decode() or (
        f"?gone={gone.pk}&amp;into={into.pk}" in client.get(address).content.decode()
    )
    page = client.get(address, {"gone": gone.pk, "into": into.pk}).content.decode()
    assert "Read Mira Quendel as Mira Quendal" in page
    asked = {"gone": gone.pk, "into": into.pk, "action": "merge", "why": "a slip"}
    client.post(address, asked, format="multipart")
    gone.refresh_from_db()
    assert gone.merged_into == into
    merge = PlayerMerge.objects.get()
    assert "a slip" in client.get(address).content.decode()
    client.post(address, {"merge": merge.pk, "action": "undo"}, format="multipart")
    gone.refresh_from_db()
    assert gone.merged_into is None
    again = client.post(address, {"merge": merge.pk, "action": "undo"}, format="multipart")
    assert "undone already" in again.content.decode()


def test_distances_of_both_records_are_one_history(club):
    gone, into = bring(club)
    HandicapDistance.objects.create(
        club=club, player=gone, discipline_code="three-cushion", distance=33, since="2020-01-01"
    )
    do_merge(gone, into, None)
    other = cast.make_player("Brinsel")
    day = datetime.date(2026, 1, 1)
    assert own_distances((into, other), "three-cushion", day, [40, 40])[0] == 33


@pytest.mark.django_db
def test_outsiders_read_the_name_a_merged_record_is_read_under():
    cup = cast.make_competition()
    gone, other = (cast.make_player(one, consent="full", published=True) for one in ("Quendal", "Vilemeer"))
    do_draw(cup, Asked("knockout", [gone.pk, other.pk]), Author(organises=True))
    do_publish(cup, Author(organises=True))
    do_merge(gone, cast.make_player("Astavik", consent="none", published=True), None)
    for path in ("bracket/", "drawn/"):
        assert "Quendal" not in cast.client_for().get(f"/competitions/{cup.pk}/{path}").content.decode()
    for path in (f"competitions/{cup.pk}/entrants/", f"players/{gone.pk}/"):
        assert "Quendal" not in cast.client_for().get(f"/api/{path}").content.decode()


@pytest.mark.django_db
def test_a_season_stands_after_one_of_its_players_was_merged():
    league = League()
    league.play()
    gone, into = league.squad(league.home)[1], cast.make_player("Zandroek")
    do_merge(gone, into, None)
    client = cast.client_for(league.organiser)
    told = client.get(f"/api/competitions/{league.competition.pk}/season/").json()["players"]
    assert into.pk in [one["player"] for one in told]
    assert client.get(f"/competitions/{league.competition.pk}/teams/").status_code == 200


def test_own_averages_in_standings_are_those_of_both_records(club):
    cup = cast.make_competition(regulations={"points_scheme": "own-average"})
    gone, into = bring(club, 1, cup)
    own = {"club": club, "discipline_code": cup.discipline, "points": 1, "innings": 10}
    HandicapDistance.objects.create(player=gone, distance=33, since="2000-01-01", **own)
    before = _sums_of(cup, into)
    merge = do_merge(gone, into, None)
    # Above that average in every match, which brings points.
    assert _sums_of(cup, into) != before
    do_undo_merge(merge, None)
    assert _sums_of(cup, into) == before


def _sums_of(cup, player):
    return StandingSums.objects.get(competition=cup, player=player, group=None).sums


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["knockout", "round-robin"])
def test_two_seats_of_one_draw_are_not_merged_until_one_of_them_is_free(kind):
    cup, me = cast.make_competition("Spring Cup"), Author(organises=True)
    one, two, *others, outside = (cast.make_player(name) for name in list(cast.CAST)[:5])
    do_draw(cup, Asked(kind, [one.pk, two.pk, *(other.pk for other in others)]), me)
    with pytest.raises(Refused) as refused:
        do_merge(two, one, None)
    assert refused.value.code == "one-draw"
    assert "Spring Cup" in str(refused.value.reason)
    # A record outside the draw is free, and so is one that left a bracket in which they never met.
    assert do_merge(outside, others[0], None).gone == outside
    do_record(cup, "withdraw", {"player": two.pk}, me)
    if kind == "knockout":
        assert do_merge(two, one, None).gone == two
