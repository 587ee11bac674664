"""The page of a match's story: what it tells, of whom, and what it says is missing."""

from __future__ import annotations

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from scoring.models import MatchProjection
from tests.cast import client_for, make_competition, make_match, make_organiser, make_player, make_user
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def players():
    return make_player("Quendal", user=make_user("mira")), make_player("Vilemeer", user=make_user("joost"))


@pytest.fixture
def organiser():
    return client_for(make_organiser())


def page_of(client, match, **query):
    return client.get(reverse("match-story", args=[match.pk]), query)


def main_of(answer) -> str:
    assert answer.status_code == 200
    return answer.content.decode().split("<main")[1].split("</main")[0]


def story_of(client, match):
    answer = client.get(f"/api/matches/{match.pk}/story/")
    assert answer.status_code == 200
    return answer.json()


def played(one, two, *runs, days=0, **fields):
    """Play whole innings, the first player's first, so many days ago."""
    match = opened(make_match(one, two, **({"distance": (10, 10)} | fields)), one.pk)
    innings(match, *runs)
    if days:
        moment = timezone.now() - datetime.timedelta(days=days)
        MatchProjection.objects.filter(match=match).update(started_at=moment, ended_at=moment)
    return match


# To 10: 10 points in 8 innings against 3.
EARLIER = (0, 1, 2, 0, 1, 1, 0, 1, 3, 0, 1, 0, 2, 0, 1, 0)


def test_a_match_is_told_run_by_run(organiser, players):
    match = played(*players, 0, 1, 4, 0, 0, 3, 0, 0, 6, 0)
    text = main_of(page_of(organiser, match))
    assert "The lead changed hands" in text
    assert "It turned most in inning" in text
    assert "Nothing is known of what either had played before" in text
    for name in ("run-strip", "lead", "win-probability"):
        assert f'id="chart-{name}"' in text
    file = page_of(organiser, match, csv="run-strip")
    assert file.content.decode().splitlines()[1:3] == ["1,0,1", "2,4,0"]
    assert page_of(organiser, match, csv="nothing").status_code == 404


def test_strokes_tell_what_whole_innings_tell(organiser, players):
    whole = played(*players, 2, 1, 0, 0)
    strokes = opened(make_match(*players, distance=(10, 10)), players[0].pk)
    for kind in ("point", "point", "miss", "point", "miss", "miss", "miss"):
        write(strokes, kind)
    one, two = story_of(organiser, whole), story_of(organiser, strokes)
    assert one["blocks"] == two["blocks"]
    assert one["chances"] == pytest.approx(two["chances"])
    assert one["leads"] == [1, 1]


def test_the_chance_before_comes_from_earlier_matches_alone(organiser, players):
    one, two = players
    for days in (40, 20):
        write(played(one, two, *EARLIER, days=days), "confirm")
    match = played(one, two, 3, 0)
    before = story_of(organiser, match)
    assert [known["matches"] for known in before["known"]] == [2, 2]
    assert before["known"][0]["points"] == 20
    # What is played on the day, and afterwards, changes nothing of what was known before.
    later = played(one, two, *([0, 1] * 9))
    write(later, "concede", player=one.pk)
    write(later, "confirm")
    after = story_of(organiser, match)
    assert after["before"] == before["before"]
    chance = before["before"]
    assert chance["low"] < 0.5 < chance["mean"] < chance["high"]
    assert before["chances"][0] == pytest.approx(chance["mean"])
    text = main_of(page_of(organiser, match))
    assert "Of Quendal 2 earlier matches are known: 20 points in 16 innings." in text
    assert "of 100 such matches" in text


def test_what_a_reader_may_not_know_is_not_in_the_chance(organiser, players):
    one, two = players
    stranger = make_player("Astavik")
    write(played(one, stranger, *EARLIER, days=30), "confirm")
    write(played(one, two, *EARLIER, days=20), "confirm")
    match = played(one, two, 1, 0, competition=make_competition(published=True))
    known = {who: story_of(client, match)["known"] for who, client in (
        ("organiser", organiser), ("anybody", client_for()), ("other", client_for(two.user)),
    )}  # fmt: skip
    assert [(row["of"], row["matches"]) for row in known["organiser"]] == [("all", 2), ("all", 1)]
    assert [(row["of"], row["matches"]) for row in known["anybody"]] == [("none", 0), ("none", 0)]
    assert [(row["of"], row["matches"]) for row in known["other"]] == [("mutual", 1), ("all", 1)]
    assert "are not open to you" in main_of(page_of(client_for(), match))


def test_whoever_may_not_see_the_match_reads_no_story(players):
    match = played(*players, 1, 0)
    assert page_of(client_for(), match).status_code == 404
    assert client_for().get(f"/api/matches/{match.pk}/story/").status_code == 404


def test_sets_are_told_one_by_one(organiser, players):
    match = played(*players, 0, 3, 1, 3, 0, 3, distance=(3, 3), format={"sets_to_win": 2})
    told = story_of(organiser, match)
    assert [block["runs"] for block in told["blocks"]] == [[[0], [3]], [[3], [1]], [[0], [3]]]
    assert [block["starter"] for block in told["blocks"]] == [0, 1, 0]
    assert told["chances"][-1] == 0
    text = main_of(page_of(organiser, match))
    assert 'id="chart-run-strip-1"' in text
    assert 'id="chart-run-strip-2"' in text
    assert "Each set begins level" in text
    assert "set 2 begins" in text


def test_extra_innings_are_told(organiser, players):
    match = played(*players, 3, 3, distance=(3, 3))
    write(match, "extra")
    innings(match, 1, 0)
    text = main_of(page_of(organiser, match))
    assert "Extra innings: Quendal made 1, Vilemeer 0." in text
    assert story_of(organiser, match)["chances"][-1] == 1


def test_an_unfinished_match_leaves_out_the_inning_under_way(organiser, players):
    match = played(*players, 1, 2)
    write(match, "point")
    told = story_of(organiser, match)
    assert told["missing"] == ["unfinished", "inning-under-way"]
    assert told["blocks"][0]["runs"] == [[1], [2]]
    assert "the story ends with the last inning that is finished" in main_of(page_of(organiser, match))


def test_totals_alone_are_no_story(organiser, players):
    match = opened(make_match(*players, distance=(10, 10)), players[0].pk)
    totals = {"score": {"white": 10, "yellow": 7}, "innings": {"white": 8, "yellow": 8}}
    write(match, "result", outcome="played", **totals)
    told = story_of(organiser, match)
    assert (told["blocks"], told["chances"], told["turn"]) == ([], None, None)
    assert "totals-only" in told["missing"]
    text = main_of(page_of(organiser, match))
    assert "Only the totals of this match were written down" in text
    assert "data-chart" not in text


def test_a_match_that_has_not_begun_says_what_may_be_expected(organiser, players):
    match = make_match(*players, distance=(30, 20))
    told = story_of(organiser, match)
    assert told["missing"] == ["not-begun"]
    # Nothing is known of either: the distances are taken for fair.
    assert told["distances_taken_for_fair"]
    assert told["before"]["mean"] == pytest.approx(0.5, abs=0.03)
    assert "The match has not begun" in main_of(page_of(organiser, match))


def test_where_distances_differ_words_and_drawing_go_by_shares_of_them(organiser, players):
    # 4 of 20 to 3 of 10, then 14 of 20 to 4 of 10: ahead in points throughout, in shares only at the end.
    match = played(*players, 4, 3, 10, 1, distance=(20, 10))
    text = main_of(page_of(organiser, match))
    assert "By shares of the own distance, the lead changed hands once." in text
    assert "By shares of the own distance, Quendal led after 1 innings, Vilemeer after 1." in text
    rows = organiser.get(reverse("match-story", args=[match.pk]), {"csv": "lead"}).content.decode().split()
    assert rows == ["inning,lead,share", "1,1,-0.1", "2,10,0.3"]


def test_without_a_distance_or_a_limit_runs_are_told_and_no_chance(organiser, players):
    match = played(*players, 1, 0, 2, 4, distance=(None, None))
    told = story_of(organiser, match)
    assert (told["before"], told["chances"], told["missing"]) == (None, None, ["unfinished", "no-format"])
    assert told["leads"] == [1, -1]
    text = main_of(page_of(organiser, match))
    assert 'id="chart-lead"' in text
    assert "nobody can say how likely" in text


def test_the_match_and_its_positions_lead_to_the_story(organiser, players):
    match = played(*players, 1, 0)
    for name in ("match", "match-positions"):
        text = organiser.get(reverse(name, args=[match.pk])).content.decode()
        assert reverse("match-story", args=[match.pk]) in text
