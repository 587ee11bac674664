"""Figures that are kept: of the same play the same ones, of any other play others."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from analytics import remembering
from analytics.remembering import MOST, digest, once
from tests.analytics.reports.simulated import drawn


@pytest.fixture(autouse=True)
def nothing_kept():
    remembering.forget()
    yield
    remembering.forget()


def test_the_same_play_has_one_key_and_any_other_play_another():
    played = drawn(1, 3, 20, 0.4)
    again = drawn(1, 3, 20, 0.4)
    assert digest(played) == digest(again)
    strokes = played.strokes.copy()
    strokes["promised"][7] = 0.25
    of = played.of.copy()
    of[-1] -= 1
    matches = played.matches.copy()
    matches.loc[1, "confirmed"] = ~matches.loc[1, "confirmed"]
    others = [
        dataclasses.replace(played, strokes=strokes),
        dataclasses.replace(played, of=of),
        dataclasses.replace(played, matches=matches),
        dataclasses.replace(played, strokes=played.strokes[:-1], of=played.of[:-1]),
    ]
    assert len({digest(one) for one in [played, *others]}) == 5
    assert digest(dataclasses.replace(played, strokes=played.strokes[::1].copy())) == digest(played)
    nothing = dataclasses.replace(
        played, matches=played.matches[:0], strokes=played.strokes[:0], of=np.zeros(0, dtype=np.int64)
    )
    assert digest(nothing) != digest(played)


def test_work_is_done_once_for_a_key_until_many_others_were_asked_for():
    done = []

    def work(name: str):
        return lambda: done.append(name) or name.upper()

    assert once(("a", b"1"), work("one")) == once(("a", b"1"), work("two")) == "ONE"
    for at in range(MOST - 1):
        once(("b", at), work(f"b{at}"))
        once(("a", b"1"), work("three"))
    assert done == ["one", *(f"b{at}" for at in range(MOST - 1))]
    once(("c", b"1"), work("more"))
    once(("b", 0), work("anew"))
    assert done[-2:] == ["more", "anew"]
    assert once(("a", b"1"), work("four")) == "ONE"


def test_what_cannot_be_worked_out_is_tried_again():
    def fails():
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        once(("a",), fails)
    assert once(("a",), lambda: 1) == 1
