"""Sums a player: always what a replay of all ledgers adds up to, and no dearer for the matches of others."""

from __future__ import annotations

import random
import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from scoring import ledger, projecting, records
from scoring.competing import do_write_competition
from scoring.conducting import do_record, entry_of
from scoring.models import CompetitionEntry, HandicapDistance, Match, MatchProjection, StandingSums
from scoring.ranking import do_deduct
from scoring.rules.event import kinds
from scoring.rules.event.regulations import Regulations
from scoring.rules.event.tallies import Figures, Tally, result_of
from scoring.rules.match.book import Book
from scoring.rules.match.play import fold_rows
from scoring.rules.match.state import colour_of, status
from scoring.rules.ranking import rank
from scoring.rules.standings import rows
from scoring.standing import read_standings
from scoring.summing import do_rebuild_sums
from tests import cast
from tests.scoring.pages.writing import ORGANISER, innings, opened, write

pytestmark = pytest.mark.django_db


def tally_of(match: Match) -> Tally:
    """Fold a match from its ledger alone."""
    setup = projecting.setup_of(match)
    state, _strokes = fold_rows(setup, Book(records.entry_of(row) for row in match.entries.order_by("seq")))
    figures = []
    for player, distance in zip(match.entrant_ids, match.format["distance"], strict=True):
        colour = colour_of(state, player)
        made = [state[name][colour] if colour else 0 for name in ("points", "innings", "high_run", "sets")]
        figures.append(Figures(player, *made, distance=distance))
    return Tally(
        *figures,
        confirmed=status(state) == "confirmed",
        begun=status(state) != "planned",
        ended_by=state["ended_by"],
        winner=state["winner"],
        protested=any(flag["code"] == "disputed" for flag in state["flags"]),
    )


def replayed(competition):
    """Rank a competition by nothing but its ledgers."""
    regulations = Regulations.stored(competition.regulations)
    entries = CompetitionEntry.objects.filter(competition=competition).order_by("seq")
    state = kinds.fold(entry_of(one) for one in entries)
    matches = Match.objects.filter(competition=competition).order_by("pk")
    players = sorted({player for match in matches for player in match.entrant_ids})
    results = [result_of(tally_of(match), regulations, state["entrants"]) for match in matches]
    table = rows(players, results, regulations.counting)
    return rank(table, regulations.order, restart=regulations.restart)


def confirmed(cup, white, yellow, *runs, distance=(5, 5)):
    match = opened(cast.make_match(white, yellow, competition=cup, distance=distance))
    innings(match, *runs)
    write(match, "confirm")
    return match


class Evening:
    """A competition in which anything may happen, in any order."""

    def __init__(self, dice: random.Random) -> None:
        self.dice = dice
        self.cup = cast.make_competition()
        self.players = [cast.make_player(name) for name in list(cast.CAST)[:5]]
        do_record(self.cup, "enter", {"players": [one.pk for one in self.players]}, ORGANISER)
        self.done: list[Match] = []
        self.planned: list[Match] = []

    def plan(self) -> None:
        self.planned.append(cast.make_match(*self.dice.sample(self.players, 2), competition=self.cup))

    def play(self) -> None:
        if self.planned:
            match = opened(self.planned.pop())
            runs = [self.dice.randint(0, 3) for _ in range(6)]
            after = ledger.read_state(match)["seq"]
            sent = [{"uuid": str(self.uuid()), "after": after, "kind": "inning", "run": run} for run in runs]
            ledger.append_list(match.pk, sent, ORGANISER)
            if ledger.read_state(Match.objects.get(pk=match.pk))["status"] != "over":
                write(match, "concede", player=self.dice.choice(match.entrant_ids))
            write(match, "confirm")
            self.done.append(match)

    def uuid(self) -> uuid.UUID:
        return uuid.UUID(int=self.dice.getrandbits(128))

    def walk_over(self) -> None:
        if self.planned:
            match = self.planned.pop()
            outcome = self.dice.choice(["walkover", "award", "annulled", "disqualified"])
            named = {} if outcome == "annulled" else {"player": match.entrant_a_id}
            write(match, "result", outcome=outcome, why="late", **named)
            write(match, "confirm")

    def correct(self) -> None:
        if self.done:
            match = self.dice.choice(self.done)
            outcome, _state = ledger.append(
                match.pk,
                {
                    "uuid": str(self.uuid()),
                    "after": ledger.read_state(Match.objects.get(pk=match.pk))["seq"],
                    "kind": "inning",
                    "run": self.dice.randint(0, 2),
                    "instead_of": 2,
                    "why": "misread",
                },
                ORGANISER,
            )
            if outcome.status == "stored" and self.dice.random() < 0.5:
                now = ledger.read_state(Match.objects.get(pk=match.pk))
                if now["status"] == "over":
                    write(match, "confirm")

    def protest(self) -> None:
        if self.done:
            match = self.dice.choice(self.done)
            write(match, *self.dice.choice([("dispute",), ("settle",)]), target=2)

    def leave(self) -> None:
        player = self.dice.choice(self.players).pk
        status = kinds.fold(
            entry_of(one) for one in CompetitionEntry.objects.filter(competition=self.cup).order_by("seq")
        )["entrants"][str(player)]["status"]
        if status == "entered":
            do_record(self.cup, "withdraw", {"player": player, "annul": self.dice.random() < 0.3}, ORGANISER)
        elif status == "withdrawn":
            do_record(self.cup, "reinstate", {"player": player}, ORGANISER)

    def choose(self) -> None:
        settings = {
            "withdrawals": self.dice.choice(["keep", "annul"]),
            "points_scheme": self.dice.choice([None, "percentage", "own-average"]),
            "order": self.dice.sample(["match_points", "direct_match", "general_average", "best_average"], 3),
            "restart": self.dice.random() < 0.5,
            "counts": {"walkover": self.dice.choice(["all", "nothing"])},
        }
        do_write_competition(self.cup, {"regulations": settings})


@pytest.mark.parametrize("seed", range(3))
def test_standings_equal_a_replay_of_all_ledgers(seed):
    evening = Evening(random.Random(seed))
    steps = [evening.plan, evening.play, evening.walk_over, evening.correct, evening.protest, evening.leave]
    for at in range(36):
        evening.dice.choice([*steps, evening.plan, evening.play, evening.play])()
        if at % 12 == 7:
            evening.choose()
            assert read_standings(evening.cup).ranked == replayed(evening.cup)
    assert evening.done
    assert read_standings(evening.cup).ranked == replayed(evening.cup)
    assert do_rebuild_sums(evening.cup) == []


def test_a_confirmation_asks_as_often_whatever_others_played():
    cup = cast.make_competition()
    one, two, *others = (cast.make_player(name) for name in cast.CAST)
    counts = []
    for pairs in ([], [(0, 1), (2, 3), (4, 5), (0, 2)]):
        for first, second in pairs:
            confirmed(cup, others[first], others[second], 5, 0)
        match = opened(cast.make_match(one, two, competition=cup))
        innings(match, 5, 0)
        with CaptureQueriesContext(connection) as seen:
            write(match, "confirm")
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_a_row_that_was_tampered_with_is_found_and_mended():
    cup = cast.make_competition()
    confirmed(cup, cast.make_player("Quendal"), cast.make_player("Vilemeer"), 5, 0)
    row = StandingSums.objects.order_by("player").first()
    row.sums = row.sums | {"points": 99}
    row.save()
    assert do_rebuild_sums(cup) == [f"standing of player {row.player_id} differed"]
    assert do_rebuild_sums(cup) == []
    assert read_standings(cup).ranked == replayed(cup)


def test_an_own_average_is_the_one_that_held_when_the_match_was_opened():
    cup = cast.make_competition(regulations={"points_scheme": "own-average"})
    one, two = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    today = timezone.localdate()
    common = {"club": cup.club, "player": one, "discipline_code": "three-cushion", "distance": 5}
    HandicapDistance.objects.create(**common, points=1, innings=1, since=today.replace(year=2001))
    HandicapDistance.objects.create(**common, points=9, innings=1, since=today.replace(year=2999))
    match = confirmed(cup, one, two, 2, 1, 3, 1)  # 5 in 2 for one: above 1.00; nothing is known of two
    table = {one.row.key: one.row.match_points for one in read_standings(cup).ranked}
    assert table == {one.pk: 12, two.pk: 4}
    desk = cast.client_for(cast.make_organiser())
    for address in (f"/competitions/{cup.pk}/standings/", f"/matches/{match.pk}/"):
        page = desk.get(address).content.decode()
        assert "2.50 is above the own average 1.00: 2" in page
        assert "no own average is known for that day" in page


def test_who_does_not_turn_up_may_be_credited_with_the_own_average():
    cup = cast.make_competition(regulations={"absent": "own-average"})
    one, two = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    HandicapDistance.objects.create(
        club=cup.club, player=two, discipline_code="three-cushion", distance=5, points=1, innings=3,
        since=timezone.localdate(),
    )  # fmt: skip
    match = cast.make_match(one, two, competition=cup)
    write(match, "result", outcome="walkover", player=one.pk, why="late")
    write(match, "confirm")
    figures = [(row.row.match_points, row.row.points, row.row.innings) for row in read_standings(cup).ranked]
    assert figures == [(2, 0, 0), (0, 5, 15)]


def test_a_late_correction_takes_a_confirmation_back_and_the_standings_with_it():
    cup = cast.make_competition()
    one, two, three = (cast.make_player(name) for name in ("Quendal", "Vilemeer", "Karnhof"))
    confirmed(cup, one, three, 3, 1, 2, 4)
    confirmed(cup, two, three, 2, 4, 3, 0)
    match = opened(cast.make_match(one, two, competition=cup, distance=(5, 5)))
    innings(match, 2, 4, 3, 0)

    def told() -> list:
        sums = StandingSums.objects.filter(competition=cup).order_by("player")
        return [read_standings(cup).ranked, list(sums.values_list("player", "sums"))]

    def correct(place: int, run: int) -> None:
        write(match, "inning", run=run, instead_of=place, why="misread")

    before = told()
    write(match, "confirm")
    after = told()
    assert after != before
    correct(3, 3)
    assert MatchProjection.objects.get(match=match).status == "over"
    assert told() == before
    correct(3, 4)
    write(match, "confirm")
    assert told() == after
    assert do_rebuild_sums(cup) == []


def test_points_that_are_taken_move_a_rank_and_tell_why():
    cup = cast.make_competition(published=True)
    one, two, three = (cast.make_player(name) for name in ("Quendal", "Vilemeer", "Karnhof"))
    confirmed(cup, one, two, 5, 0)
    confirmed(cup, three, two, 3, 1, 2, 1)
    do_deduct(cup, ORGANISER, one.pk, "1/2", "late with the sheet")
    told = cast.client_for().get(f"/api/competitions/{cup.pk}/standings/").json()
    assert [(row["player"], row["match_points"]) for row in told["rows"]] == [
        (three.pk, 2), (one.pk, 1.5), (two.pk, 0),
    ]  # fmt: skip
    assert told["deductions"] == [{"player": one.pk, "match_points": 0.5, "why": "late with the sheet"}]
