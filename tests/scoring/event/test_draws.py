"""Draws: what they make, that they can be repeated, when they are closed, what a result brings about."""

from __future__ import annotations

import uuid

import pytest

from scoring.advancing import do_advance
from scoring.conducting import do_rebuild_competition, read_state
from scoring.drawing import Asked, do_add_pair, do_draw, do_make_stage, do_replace, do_undraw, do_unlock
from scoring.entering import do_enter, do_leave, do_reinstate, what_leaving_does
from scoring.models import CompetitionEntry, Match
from scoring.rules.event.drawn import byes, digests, tiers, work_out
from scoring.rules.event.draws import players_of
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed
from scoring.stages import READY, read_stages, rounds_of
from tests import cast
from tests.scoring.event.playing import ORGANISER as ME
from tests.scoring.event.playing import begin, result, write

pytestmark = pytest.mark.django_db
EASY = {"distance": [5, 5], "equalizing": True}


@pytest.fixture
def cup():
    return cast.make_competition()


def people(count: int) -> list[int]:
    return [cast.make_player(f"Player{number}").pk for number in range(count)]


def draw(cup, kind, players, **more):
    return do_draw(cup, Asked(kind, players, format=EASY, **more), ME).stage


def now(cup, at: int = 0):
    return read_stages(cup)[at]


def match_of(cup, tie: int, at: int = 0, group: int = 0) -> Match:
    found = next(one for one in now(cup, at).groups[group].fixtures if one.tie == tie)
    assert found.match is not None
    return found.match


# --- what a draw is ------------------------------------------------------------


def test_a_round_robin_makes_all_its_matches(cup):
    a, b, c, d = people(4)
    stage = draw(cup, "round-robin", [a, b, c, d])
    # FIDE Handbook C.05, Annex 1, the table for four
    assert rounds_of(stage) == [[[a, d], [b, c]], [[d, c], [a, b]], [[b, d], [c, a]]]
    made = Match.objects.order_by("tie")
    assert [one.entrant_ids for one in made] == [(a, d), (b, c), (d, c), (a, b), (b, d), (c, a)]
    assert [one.tie for one in made] == [1, 2, 3, 4, 5, 6]
    assert made[0].format["distance"] == [5, 5]


def test_an_odd_number_has_a_bye_in_each_round(cup):
    a, b, c = people(3)
    rounds = rounds_of(draw(cup, "round-robin", [a, b, c]))
    assert [[a, None] in rounds[0], [c, None] in rounds[1], [b, None] in rounds[2]] == [True] * 3
    assert Match.objects.count() == 3


def test_a_knock_out_gives_byes_to_the_highest_seeds(cup):
    players = people(6)
    one, two, three, four, five, six = players
    stage = draw(cup, "knockout", players)
    assert rounds_of(stage) == [[[one, None], [four, five], [two, None], [three, six]]]
    assert Match.objects.count() == 2
    assert byes(6) == [1, 2]
    assert byes(8) == []


def test_a_draw_can_be_repeated_from_numbers_and_seed_alone(cup):
    players = people(9)
    draw(cup, "round-robin", players, way="pots", seed="4711", groups=3)
    told = now(cup).told["draw"]
    again = work_out("groups", told["given"], way="pots", seed="4711", groups=3)
    assert (again.order, again.groups) == (told["order"], told["groups"])
    assert told["given"] == [str(number) for number in range(1, 10)]
    assert [name for name, _digest in digests("4711", told["given"][:3])] == [
        again.groups[0][0], again.groups[1][0], again.groups[2][0],
    ]  # fmt: skip


def test_tiers_are_drawn_among_themselves():
    given = [str(number) for number in range(1, 14)]
    worked = work_out("knockout", given, way="pots", seed="7").order
    assert tiers(13) == [(1, 1), (2, 2), (3, 4), (5, 8), (9, 13)]
    for low, high in tiers(13):
        assert sorted(worked[low - 1 : high]) == sorted(given[low - 1 : high])
    assert worked != given


def test_club_mates_do_not_meet_in_the_first_round():
    given = [str(number) for number in range(1, 9)]
    mates = [["1", "8"], ["2", "7"], ["3", "5"]]
    order = work_out("knockout", given, clubs=mates).order
    first = [{order[high - 1], order[8 - high]} for high in range(1, 5)]
    assert all(not set(club) <= pair for club in mates for pair in first)
    assert order[:4] == given[:4]


def test_a_draw_needs_a_seed_and_two_players(cup):
    players = people(4)
    for asked, wrong in (
        (Asked("knockout", players[:1]), "players"),
        (Asked("knockout", players, way="lots"), "seed"),
        (Asked("round-robin", players, groups=3), "groups"),
        (Asked("knockout", [*players, 987654]), "players"),
        (Asked("knockout", players, format={"distance": [0, 1]}), "format.distance"),
    ):
        with pytest.raises(Malformed) as refused:
            do_draw(cup, asked, ME)
        assert refused.value.field == wrong
    assert not CompetitionEntry.objects.exists()
    assert read_stages(cup) == []


def test_a_retry_draws_nothing_again(cup):
    players, name = people(5), uuid.uuid4()
    asked = Asked("knockout", players, way="lots", seed="x")
    first = do_draw(cup, asked, ME, uuid=name)
    begin(Match.objects.get(group__stage=first.stage.stage, tie=2))
    again = do_draw(cup, asked, ME, uuid=name)
    assert (first.known, again.known) == (False, True)
    assert rounds_of(again.stage)[0] == rounds_of(first.stage)[0]
    with pytest.raises(Refused, match="uuid"):
        do_draw(cup, Asked("knockout", players, way="lots", seed="y"), ME, uuid=name)
    assert do_rebuild_competition(cup) == []


def test_a_draw_is_closed_once_a_match_has_begun(cup):
    players = people(4)
    stage = draw(cup, "knockout", players)
    with pytest.raises(Refused, match="kind"):
        draw(cup, "round-robin", players, stage=stage.stage.pk)
    draw(cup, "knockout", players[::-1], stage=stage.stage.pk)
    assert Match.objects.count() == 2
    assert rounds_of(now(cup))[0][0] == [players[3], players[0]]
    begin(Match.objects.first())
    for again in (
        lambda: draw(cup, "knockout", players, stage=stage.stage.pk),
        lambda: do_undraw(cup, stage.stage.pk, ME),
    ):
        with pytest.raises(Refused) as refused:
            again()
        assert refused.value.code == "locked"
    assert Match.objects.count() == 2


def test_a_draw_is_taken_back(cup):
    stage = draw(cup, "round-robin", people(4))
    do_undraw(cup, stage.stage.pk, ME)
    assert not Match.objects.exists()
    assert now(cup).draw is None
    assert do_rebuild_competition(cup) == []


# --- groups ----------------------------------------------------------------------


def test_a_group_of_three_plays_in_the_published_order(cup):
    a, b, c = people(3)
    draw(cup, "round-robin", [a, b, c], groups=1)
    # UMB notice of 17 December 2019: 2-3, then 1 against the winner, then 1 against the loser
    assert [one.entrant_ids for one in Match.objects.all()] == [(b, c)]
    result(match_of(cup, 1), c)
    assert [one.entrant_ids for one in Match.objects.order_by("tie")] == [(b, c), (c, a), (a, b)]


def test_a_corrected_first_match_of_three_turns_the_order(cup):
    a, b, c = people(3)
    draw(cup, "round-robin", [a, b, c], groups=1)
    first = match_of(cup, 1)
    result(first, b)
    assert set(match_of(cup, 2).entrant_ids) == {a, b}
    ids = set(Match.objects.values_list("pk", flat=True))
    seq = first.entries.get(kind="result").seq
    write(first, {"kind": "void", "target": seq, "why": "other way round"})
    result_again = {"kind": "result", "outcome": "award", "player": c, "why": "other way round"}
    write(first, result_again, {"kind": "confirm"})
    assert set(match_of(cup, 2).entrant_ids) == {a, c}
    # The same two matches in the other order: nobody's planned match went away for nothing.
    assert len(ids & set(Match.objects.values_list("pk", flat=True))) in (1, 3)
    assert Match.objects.count() == 3


def test_a_group_of_four_becomes_three_without_a_new_draw(cup):
    a, b, c, d = people(4)
    draw(cup, "round-robin", [a, b, c, d], groups=1)
    assert Match.objects.count() == 6
    do_leave(cup, "no-show", d, "never came", ME)
    group = now(cup).groups[0]
    assert (group.seats, group.gone) == ([a, b, c], [d])
    assert next(one.sides for one in group.fixtures) == (b, c)
    result(match_of(cup, 1), b)
    assert [set(one.sides) for one in now(cup).groups[0].fixtures] == [{b, c}, {a, b}, {a, c}]
    assert Match.objects.count() == 3
    assert len([one for one in CompetitionEntry.objects.all() if one.kind == "draw"]) == 1
    assert do_rebuild_competition(cup) == []


def test_winners_meet_last_in_a_group_of_four_that_asks_for_it(cup):
    a, b, c, d = people(4)
    draw(cup, "round-robin", [a, b, c, d], groups=1, order_of_four="winners-last")
    assert Match.objects.count() == 2
    result(match_of(cup, 1), a)
    assert Match.objects.count() == 2
    result(match_of(cup, 2), b)
    pairs = [set(one.entrant_ids) for one in Match.objects.order_by("tie")]
    assert pairs == [{a, d}, {b, c}, {a, c}, {b, d}, {a, b}, {d, c}]


# --- knock-out -------------------------------------------------------------------


def four(cup, **more):
    players = people(4)
    draw(cup, "knockout", players, **more)
    return players


@pytest.mark.both_databases
def test_the_final_is_made_once_both_semi_finals_are_confirmed(cup):
    a, b, c, d = four(cup, third_place=True)
    result(match_of(cup, 1), a)
    assert Match.objects.count() == 2
    result(match_of(cup, 2), c)
    assert [one.entrant_ids for one in Match.objects.order_by("tie")] == [(a, d), (b, c), (a, c), (d, b)]
    assert [one.third for one in now(cup).fixtures] == [False, False, False, True]
    do_advance(cup)
    assert Match.objects.count() == 4


def test_a_drawn_knock_out_match_waits_for_extra_innings(cup):
    a, b, _c, d = four(cup)
    first = match_of(cup, 1)
    opened = {"kind": "open", "starter": a, "decided_by": "lag"}
    write(first, opened, {"kind": "inning", "run": 5}, {"kind": "inning", "run": 5})
    result(match_of(cup, 2), b)
    assert Match.objects.count() == 2
    write(first, {"kind": "extra"}, {"kind": "inning", "run": 1}, {"kind": "inning", "run": 2})
    write(first, {"kind": "confirm"})
    assert match_of(cup, 3).entrant_ids == (d, b)


def test_a_confirmed_draw_sends_nobody_on(cup):
    _a, *_rest = four(cup)
    result(match_of(cup, 1), None)
    fixture = now(cup).fixtures[0]
    assert (fixture.drawn, fixture.winner) == (True, None)
    assert now(cup).fixtures[2].state == "open"


def correct(match: Match, winner: int) -> None:
    write(match, {"kind": "result", "outcome": "award", "player": winner, "why": "miscounted"})
    write(match, {"kind": "confirm"})


def test_a_correction_remakes_a_final_that_has_not_begun(cup):
    a, b, _c, d = four(cup)
    result(match_of(cup, 1), a)
    result(match_of(cup, 2), b)
    correct(match_of(cup, 1), d)
    assert match_of(cup, 3).entrant_ids == (d, b)
    assert Match.objects.count() == 3


@pytest.mark.both_databases
def test_a_correction_waits_for_an_unlocking_where_a_match_has_begun(cup):
    a, b, _c, d = four(cup)
    stage = now(cup).stage.pk
    result(match_of(cup, 1), a)
    result(match_of(cup, 2), b)
    final = match_of(cup, 3)
    begin(final)
    with pytest.raises(Refused):
        do_unlock(cup, stage, "nothing to do", ME)
    correct(match_of(cup, 1), d)
    held = now(cup)
    assert held.resolved is not None
    assert (held.resolved.held, held.resolved.disturbed) == ((1,), (final.pk,))
    assert (held.fixtures[0].held, held.fixtures[2].sides) == (True, (a, b))
    with pytest.raises(Malformed):
        do_unlock(cup, stage, " ", ME)
    name = uuid.uuid4()
    assert do_unlock(cup, stage, "miscounted in the first match", ME, uuid=name) == [final.pk]
    assert do_unlock(cup, stage, "miscounted in the first match", ME, uuid=name) == [final.pk]
    freed = now(cup)
    assert [one.pk for one in freed.aside] == [final.pk]
    assert (freed.fixtures[2].sides, freed.fixtures[2].match.entrant_ids) == ((d, b), (d, b))
    assert freed.resolved is not None
    assert freed.resolved.held == ()
    # It counts for nobody and keeps nobody at a table, until its players stand there again.
    final.projection.refresh_from_db()
    assert (final.projection.status, final.projection.state["ended_by"]) == ("confirmed", "annulled")
    correct(match_of(cup, 1), a)
    back = now(cup)
    assert back.fixtures[2].match is not None
    assert (back.fixtures[2].match.pk, back.fixtures[2].state) == (final.pk, "playing")
    assert Match.objects.count() == 3
    # And there it holds the bracket as it did before.
    correct(match_of(cup, 1), d)
    assert now(cup).fixtures[0].held
    do_unlock(cup, stage, "it was miscounted after all", ME)
    final.projection.refresh_from_db()
    assert final.projection.state["ended_by"] == "annulled"
    assert now(cup).fixtures[2].sides == (d, b)
    assert do_rebuild_competition(cup) == []


def test_unlocking_reaches_what_hangs_on_a_disturbed_match(cup):
    players = people(8)
    draw(cup, "knockout", players)
    for tie in (1, 2, 3, 4):
        match = match_of(cup, tie)
        result(match, match.entrant_a_id)
    for tie in (5, 6):
        match = match_of(cup, tie)
        result(match, match.entrant_b_id)
    final = match_of(cup, 7)
    begin(final)
    first = match_of(cup, 1)
    semi = match_of(cup, 5)
    correct(first, first.entrant_b_id)
    found = now(cup)
    assert found.resolved is not None
    assert found.resolved.disturbed == tuple(sorted((semi.pk, final.pk)))
    do_unlock(cup, found.stage.pk, "miscounted", ME)
    freed = now(cup)
    assert freed.fixtures[4].match is not None
    assert freed.fixtures[4].match.pk != semi.pk
    assert freed.fixtures[6].state == "open"


# --- leaving ---------------------------------------------------------------------


@pytest.mark.both_databases
def test_a_withdrawal_gives_the_matches_left_to_the_opponents(cup):
    a, b, c = people(3)
    draw(cup, "round-robin", [a, b, c])
    first = Match.objects.get(tie=1)
    result(first, first.entrant_a_id)
    told = what_leaving_does(cup, read_state(cup), "withdraw", c, annul=False)
    left = do_leave(cup, "withdraw", c, "ill", ME, annul=False)
    assert [one.what for one in told] == ["walkover"]
    match = Match.objects.get(pk=told[0].match.pk)
    assert (match.projection.status, match.projection.winner_id != c) == ("confirmed", True)
    assert match.entries.filter(kind="result").get().text.texts == {"why": "ill"}
    assert do_leave(cup, "withdraw", c, "ill", ME, annul=False, uuid=left.entry.uuid).known
    assert match.entries.count() == 2
    do_reinstate(cup, c, "better again", ME)
    match = Match.objects.get(pk=match.pk)
    assert (match.projection.status, match.projection.winner_id) == ("planned", None)
    assert do_rebuild_competition(cup) == []


def test_annulling_is_the_other_regulation(cup):
    cup.regulations = {"withdrawals": "annul"}
    cup.save()
    a, b, c = people(3)
    draw(cup, "round-robin", [a, b, c])
    begin(Match.objects.get(tie=1))
    told = what_leaving_does(cup, read_state(cup), "withdraw", a)
    assert {one.what for one in told} == {"annulled"}
    do_leave(cup, "withdraw", a, "ill", ME)
    assert read_state(cup)["entrants"][str(a)]["annul"] is True


def test_who_withdraws_amid_a_match_gives_it_up(cup):
    a, _b, _c, d = four(cup)
    match = match_of(cup, 1)
    begin(match)
    do_leave(cup, "withdraw", a, "hand hurt", ME)
    match = Match.objects.get(pk=match.pk)
    assert (match.projection.status, match.projection.winner_id) == ("confirmed", d)


def test_a_withdrawn_player_is_walked_over_further_on(cup):
    a, b, _c, _d = four(cup)
    result(match_of(cup, 1), a)
    do_leave(cup, "withdraw", a, "ill", ME)
    result(match_of(cup, 2), b)
    final = now(cup).fixtures[2]
    assert (final.state, final.winner, final.match) == ("walked-over", b, None)
    do_reinstate(cup, a, "better again", ME)
    assert match_of(cup, 3).entrant_ids == (a, b)


def test_reinstating_changes_nothing_where_the_next_match_has_begun(cup):
    a, b, _c, d = four(cup)
    result(match_of(cup, 2), b)
    do_leave(cup, "no-show", a, "not there", ME)
    begin(match_of(cup, 3))
    do_reinstate(cup, a, "came after all", ME)
    assert now(cup).fixtures[0].winner == d


def test_nothing_is_written_where_a_leaving_is_refused(cup):
    a, b, _c, _d = four(cup)
    do_leave(cup, "withdraw", a, "ill", ME)
    before = CompetitionEntry.objects.count()
    with pytest.raises(Refused):
        do_leave(cup, "no-show", a, "ill", ME)
    with pytest.raises(Malformed):
        do_leave(cup, "withdraw", b, "", ME)
    with pytest.raises(Refused) as refused:
        draw(cup, "knockout", [a, b])
    assert refused.value.code == "left-before"
    assert CompetitionEntry.objects.count() == before


def test_a_reserve_takes_a_seat(cup):
    a, b, _c, d = four(cup)
    (late,) = people(1)
    do_enter(cup, [late], ME, reserve=True)
    do_leave(cup, "no-show", a, "not there", ME)
    do_replace(cup, now(cup).stage.pk, a, late, ME)
    assert set(match_of(cup, 1).entrant_ids) == {late, d}
    assert read_state(cup)["entrants"][str(late)]["status"] == "entered"
    begin(match_of(cup, 2))
    with pytest.raises(Refused):
        do_replace(cup, now(cup).stage.pk, b, a, ME)


# --- a free series, and a weekend ------------------------------------------------


def test_a_free_series_grows_match_by_match(cup):
    a, b, c = people(3)
    stage = do_make_stage(cup, "series", "Club evening", ME)
    name = uuid.uuid4()
    first = do_add_pair(cup, stage.pk, (a, b), ME, uuid=name)
    assert do_add_pair(cup, stage.pk, (a, b), ME, uuid=name) == first
    do_add_pair(cup, stage.pk, (c, a), ME)
    assert [(one.tie, one.sides) for one in now(cup).fixtures] == [(1, (a, b)), (2, (c, a))]
    with pytest.raises(Refused):
        do_add_pair(cup, draw(cup, "knockout", [a, b]).stage.pk, (a, b), ME)


def test_reading_stages_asks_the_same_number_of_queries(cup, django_assert_num_queries):
    draw(cup, "round-robin", people(8), group_size=4)
    with django_assert_num_queries(5):
        read_stages(cup)
    draw(cup, "knockout", people(16))
    with django_assert_num_queries(5):
        found = read_stages(cup)
    assert found[1].fixtures[0].state != READY
    assert len(players_of(read_state(cup))) == 24
