"""A day's schedule: nothing collides, whatever is asked for; and how near it comes to the bound."""

import random
import time
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.brackets import bracket
from scoring.rules.durations import Pace, expected_innings, expected_minutes
from scoring.rules.pairings import round_robin
from scoring.rules.planning import Job, Placed, Table, collisions, plan


def tables(count):
    return [Table(f"table {number}") for number in range(1, count + 1)]


def robin(players, minutes=40):
    pairs = [pair for one in round_robin(players) for pair in one.pairs]
    return [Job(pair, minutes, frozenset(pair)) for pair in pairs]


def test_six_on_two_tables_need_no_minute_more_than_the_bound():
    made = plan(robin("abcdef"), tables(2), rest=5)
    assert (made.unplaced, made.bound) == ((), 300)
    assert made.end <= 340
    assert collisions(made.placed, robin("abcdef"), tables(2), 5) == []


def test_three_players_rest_between():
    made = plan(robin("abc"), tables(3), start=100, rest=10)
    assert [(one.start, one.end) for one in made.placed] == [(100, 140), (150, 190), (200, 240)]
    # Two matches and the rest between them are all that one player needs.
    assert made.bound == 190


def test_players_see_all_tables():
    made = plan(robin("abcdefgh"), tables(4))
    for player in "abcdefgh":
        seen = Counter(one.table for one in made.placed if player in one.job)
        assert len(seen) == 4
        assert max(seen.values()) <= 3


def test_a_table_goes_out_and_comes_back():
    out = [Table("near"), Table("far", ((30, 100),))]
    made = plan(robin("abcd"), out)
    far = sorted(one.start for one in made.placed if one.table == "far")
    assert far
    assert min(far) >= 100
    # 60 minutes of the first 30, 70 until 100, then two tables for the 110 that are left.
    assert made.bound == 155
    gone = plan(robin("ab"), [Table("only", ((20, None),))])
    assert (gone.placed, gone.unplaced, gone.end) == ((), (("a", "b"),), None)


def test_a_running_match_moved_in_the_middle_stays_as_it_was():
    jobs = robin("abcd")
    moved = [
        Placed(jobs[0].key, "table 1", 0, 15, locked=True),
        Placed(jobs[0].key, "table 2", 20, 45, locked=True),
    ]
    made = plan(jobs, tables(2), start=20, locked=moved)
    assert [one for one in made.placed if one.locked] == moved
    assert collisions(made.placed, jobs, tables(2)) == []
    assert made.due(20) == [Placed(jobs[1].key, "table 1", 20, 60)]


def test_referees_are_shared_out_and_never_doubled():
    jobs = [replace(one, referee="ref a") if one.key == ("a", "d") else one for one in robin("abcd")]
    made = plan(jobs, tables(3), referees=["ref a", "ref b"])
    assert {one.job: one.referee for one in made.placed}["a", "d"] == "ref a"
    assert sum(one.referee == "ref b" for one in made.placed) == 3
    assert (made.end, collisions(made.placed, jobs, tables(3))) == (120, [])
    one_only = plan(robin("abcd"), tables(3), referees=["ref a"])
    assert one_only.end == one_only.bound == 240
    playing = plan(robin("abc"), tables(2), referees=["a", "b", "c"])
    assert all(one.referee not in one.job for one in playing.placed)


def test_a_knock_out_is_played_in_the_order_of_its_feeds():
    jobs = [
        Job(tie.number, 60, after=frozenset(feed.match for feed in tie.feeds if feed.match))
        for tie in bracket(range(16), third_place=True).ties
    ]
    made = plan(jobs, tables(4), rest=15)
    assert collisions(made.placed, jobs, tables(4), 15) == []
    # Eight matches on four tables, then three rounds more, each after a rest.
    assert made.end == made.bound == 120 + 3 * 75


def test_some_matches_have_their_table_and_their_hour():
    jobs = robin("abcd")
    final = replace(jobs[-1], tables=frozenset(["table 2"]), earliest=300)
    made = plan([*jobs[:-1], final], tables(2))
    assert made.placed[-1] == Placed(final.key, "table 2", 300, 340)
    assert made.bound == 340


def test_plans_that_cannot_be_read():
    job = Job("m", 30, frozenset("ab"))
    for jobs, places, locked in (
        ([job, job], tables(1), ()),
        ([job], tables(1) * 2, ()),
        ([replace(job, minutes=0)], tables(1), ()),
        ([replace(job, after=frozenset("x"))], tables(1), ()),
        ([replace(job, tables=frozenset("x"))], tables(1), ()),
        ([replace(job, referee="a")], tables(1), ()),
        ([job], tables(1), [Placed("x", "table 1", 0, 30)]),
    ):
        with pytest.raises(ValueError, match=r"m|x|key"):
            plan(jobs, places, locked=locked)
    circle = [replace(job, after=frozenset("n")), Job("n", 30, after=frozenset("m"))]
    assert plan(circle, tables(1)).unplaced == ("m", "n")


def test_collisions_are_found():
    jobs = [Job("m", 30, frozenset("ab")), Job("n", 30, frozenset("ac")), Job("o", 30, frozenset("de"), "f")]
    jobs.append(Job("p", 30, frozenset("gf"), after=frozenset("o")))
    at = {"m": ("table 1", 0), "n": ("table 2", 35), "o": ("table 1", 100), "p": ("table 2", 200)}

    def found(rest=0, out=(), **moved):
        places = [Table("table 1", out), Table("table 2")]
        placed = [Placed(key, *where, where[1] + 30) for key, where in (at | moved).items()]
        return collisions(placed, jobs, places, rest)

    assert found() == []
    assert found(rest=10) == [("m", "n")]
    assert found(n=("table 2", 29)) == [("m", "n")]
    assert found(o=("table 1", 29)) == [("m", "o")]
    assert found(p=("table 2", 120)) == [("o", "p")]
    assert found(p=("table 2", 70)) == [("p", "o")]
    assert found(out=((20, 40),)) == [("m", "table 1")]
    assert found(out=((129, None),)) == [("o", "table 1")]


SPANS = st.lists(
    st.tuples(st.integers(0, 150), st.integers(1, 60) | st.none()).map(
        lambda span: (span[0], span[1] and span[0] + span[1])
    ),
    max_size=2,
)


@st.composite
def days(draw):
    """A day of all sorts: named and pooled referees, chains, tables that come and go, running matches."""
    people = "abcdefgh"
    jobs = []
    for key in range(draw(st.integers(1, 9))):
        pair = draw(st.sets(st.sampled_from(people), max_size=2))
        jobs.append(
            Job(
                key,
                draw(st.integers(1, 60)),
                frozenset(pair),
                draw(st.none() | st.sampled_from(sorted(set(people) - pair))),
                frozenset(draw(st.sets(st.integers(0, key - 1), max_size=2))) if key else frozenset(),
                draw(st.integers(0, 90)),
                draw(st.none() | st.just(frozenset({"table 1"}))),
            )
        )
    places = [replace(one, out=tuple(draw(SPANS))) for one in tables(draw(st.integers(1, 3)))]
    running = [
        Placed(jobs[key].key, places[0].key, begin, begin + 20, locked=True)
        for key, begin in draw(
            st.dictionaries(st.integers(0, len(jobs) - 1), st.integers(0, 90), max_size=2)
        ).items()
    ]
    rest, start = draw(st.integers(0, 20)), draw(st.integers(0, 30))
    # With one who does not play in it, or none at all, every match can have a referee.
    referees = draw(st.lists(st.sampled_from("aby"), max_size=2).map(lambda pool: [*pool, "x"]) | st.just([]))
    if collisions(running, jobs, places, rest):
        running = []
    return jobs, places, start, rest, referees, running


def test_a_day_that_was_over_before_it_began_ends_when_it_did():
    over = [Placed(0, "table 1", 0, 20, locked=True)]
    made = plan([Job(0, 1)], [Table("table 1")], start=21, locked=over)
    assert (made.end, made.bound) == (20, 20)


@given(days())
def test_schedules_never_collide(day):
    jobs, places, start, rest, referees, running = day
    made = plan(jobs, places, start=start, rest=rest, referees=referees, locked=running)
    fixed = {(a.job, b.job) for a in running for b in running}
    bad = [pair for pair in collisions(made.placed, jobs, places, rest) if pair not in fixed]
    locked, waits = {one.job for one in running}, {job.key: job.after for job in jobs}
    # Whoever began a locked match early did not wait for those before it.
    early = {frozenset((key, before)) for key in locked for before in waits[key]}
    assert [pair for pair in bad if frozenset(pair) not in early] == []
    assert sorted([one.job for one in made.placed] + list(made.unplaced)) == [job.key for job in jobs]
    kept = [replace(one, referee=None) for one in made.placed if one.locked]
    assert sorted(kept, key=lambda one: one.job) == sorted(running, key=lambda one: one.job)
    known = {job.key: job for job in jobs}
    for one in made.placed:
        job = known[one.job]
        if not one.locked:
            assert one.end - one.start == job.minutes
            assert one.start >= max(start, job.earliest)
            assert job.tables is None or one.table in job.tables
            assert one.referee == job.referee or (job.referee is None and one.referee in referees)
    if not made.unplaced and not bad:
        assert made.end >= made.bound
    if not any(end is None for one in places for _, end in one.out):
        assert not made.unplaced


def big_day():
    """128 players in 32 groups of four, then a knock-out of 64: 255 matches."""
    lengths = random.Random(7)
    jobs, last = [], []
    for group in range(32):
        played = [
            replace(one, minutes=lengths.randint(30, 60))
            for one in robin([f"{group}-{seat}" for seat in range(4)])
        ]
        jobs += played
        last.append({one.key for one in played})
    for tie in bracket(range(64)).ties:
        before = {feed.match for feed in tie.feeds if feed.match}
        groups = last[tie.position - 1] | last[(tie.position + 7) % 32] if tie.round == 1 else before
        jobs.append(Job(tie.number, lengths.randint(40, 70), after=frozenset(groups)))
    return jobs


def test_128_players_on_16_tables():
    jobs = big_day()
    begun = time.process_time()
    made = plan(jobs, tables(16), rest=10)
    taken = time.process_time() - begun
    assert (made.unplaced, collisions(made.placed, jobs, tables(16), 10)) == ((), [])
    assert made.end <= 1.08 * made.bound
    assert taken < 2


@pytest.mark.parametrize(("p", "q"), [(0.5, 0.5), (0.2, 0.6)])
def test_innings_to_a_single_point(p, q):
    """To one point an inning fails for both with (1-p)(1-q): a geometric law."""
    averages = (p / (1 - p), q / (1 - q))
    assert expected_innings(averages, (1, 1)) == pytest.approx(1 / (1 - (1 - p) * (1 - q)), rel=1e-7)


def test_innings_to_a_distance_alone():
    """One player needs N/a + 1 innings on average: the misses before the N-th point, and the last inning."""
    assert expected_innings((Fraction(3, 4), 0), (30, 30)) == pytest.approx(41, rel=1e-6)
    assert expected_innings((5, 0), (800, None)) == pytest.approx(161, rel=1e-6)
    assert expected_innings((Fraction(1, 2), 1), (30, 30), innings_limit=20) < 20
    assert expected_innings((1, 1), (None, None), 30) == 30


def test_minutes_of_a_match():
    slow = Pace(Fraction(1, 2), 30)
    assert expected_minutes((slow, slow), (None, None), 40) == 70
    assert expected_minutes((slow, slow), (None, None), 40, around=0) == 60
    assert expected_minutes((Pace(1), slow), (30, 15)) > expected_minutes((Pace(1), slow), (20, 10))
    for averages, distances in (((1, 1), (None, None)), ((-1, 1), (9, 9)), ((1, 1), (0, 9))):
        with pytest.raises(ValueError, match=r"None|-1|0"):
            expected_innings(averages, distances)
