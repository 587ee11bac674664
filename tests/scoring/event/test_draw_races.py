"""Two results at once: whoever comes second sees what the first one wrote."""

from __future__ import annotations

import pytest

from scoring.drawing import Asked, do_draw
from scoring.entering import do_leave
from scoring.models import Match
from tests import cast
from tests.scoring.event.playing import ORGANISER as ME
from tests.scoring.event.playing import result
from tests.scoring.racing import together

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]


def four():
    cup = cast.make_competition()
    players = [cast.make_player(f"Player{number}").pk for number in range(4)]
    do_draw(cup, Asked("knockout", players, format={"distance": [5, 5]}), ME)
    return cup, players, list(Match.objects.order_by("tie"))


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
