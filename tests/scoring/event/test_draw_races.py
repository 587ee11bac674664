"""Two results at once: whoever comes second sees what the first one wrote."""

from __future__ import annotations

from functools import partial

import pytest

from scoring.closing import do_close, verify
from scoring.conducting import Recorded
from scoring.drawing import Asked, do_draw
from scoring.entering import do_leave
from scoring.models import Competition, Match
from scoring.rules.match.checks import Refused
from scoring.running import do_act
from tests import cast
from tests.scoring.event.playing import ORGANISER as ME
from tests.scoring.event.playing import begin, result, write
from tests.scoring.racing import together

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]


def four():
    cup = cast.make_competition()
    players = [cast.make_player(f"Player{number}").pk for number in range(4)]
    do_draw(cup, Asked("knockout", players, format={"distance": [5, 5]}), ME)
    return cup, players, list(Match.objects.filter(competition=cup).order_by("tie"))


def test_two_semi_finals_confirmed_at_once_make_one_final():
    _cup, (a, b, _c, _d), (first, second) = four()
    answers = together(lambda: result(first, a), lambda: result(second, b))
    assert answers == [None, None]
    assert [one.entrant_ids for one in Match.objects.filter(tie=3)] == [(a, b)]


def test_a_withdrawal_and_a_result_at_once_both_stand():
    cup, (a, b, c, _d), (first, _second) = four()
    answers = together(lambda: result(first, a), lambda: do_leave(cup, "withdraw", b, "ill", ME))
    assert not [one for one in answers if isinstance(one, Exception)]
    # Walked over where nothing had begun yet, by an entry of the match where it had.
    assert [one.entrant_ids for one in Match.objects.filter(tie=3)] == [(a, c)]


def end(match):
    """Give a match that was opened to the first named, and confirm it."""
    walkover = {"kind": "result", "outcome": "walkover", "player": match.entrant_a_id, "why": "ill"}
    write(match, walkover, {"kind": "confirm"})


def test_closing_and_moving_wait_for_no_match_that_waits_for_them():
    for _ in range(3):
        cup, _players, matches = four()
        tables = [cast.make_table(f"Table {cup.pk}.{number}") for number in range(2)]
        for match in matches:
            begin(match)
        told = [{"match": match.pk, "table": table.pk} for match, table in zip(matches, tables, strict=True)]
        answers = together(
            *[partial(do_act, cup, "move", one, ME) for one in told],
            *[partial(end, match) for match in matches],
            partial(do_close, cup, ME, why="The room is needed."),
        )
        assert all(answer is None or isinstance(answer, Refused | Recorded) for answer in answers), answers
        assert verify(Competition.objects.get(pk=cup.pk)).holds
