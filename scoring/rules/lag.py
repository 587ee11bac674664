"""The lag: who chooses whether to start.

World rules of carom billiard, art. 22; that a touched long cushion is a fault, a Danish
club's rules. Where the texts differ, the rule set decides.
"""

from __future__ import annotations

from dataclasses import dataclass

from .rulesets import RuleSet
from .said import Said, said


@dataclass(frozen=True)
class LagStroke:
    """What became of one player's lag.

    in_time: the ball was moving before the other one reached the top cushion.
    strayed: it touched the other player's ball, or the red.
    long_cushion: it touched a long cushion.
    rest: its distance from the bottom cushion [diamonds]; None where it cannot be told.
    """

    in_time: bool = True
    strayed: bool = False
    long_cushion: bool = False
    rest: float | None = None


@dataclass(frozen=True)
class LagRuling:
    """Which of the two players chooses (0 or 1), None where the lag is repeated, and why.

    caused: by which player the repeat was caused, None where by neither or both.
    """

    chooses: int | None
    reason: Said
    caused: int | None = None


def judge_lag(
    first: LagStroke, second: LagStroke, rule_set: RuleSet, caused: tuple[int, int] = (0, 0)
) -> LagRuling:
    """Judge a lag; `caused` counts the repeats each player has caused so far."""
    strokes = (first, second)
    lost = [_fault(stroke, rule_set) for stroke in strokes]
    late = [not stroke.in_time for stroke in strokes]
    if late[0] != late[1]:
        return _repeat_caused(late.index(True), rule_set, caused)
    if all(late) or all(lost):
        return LagRuling(None, said("Both were at fault: repeat the lag."))
    if any(lost):
        return LagRuling(lost.index(False), said("The other ball strayed: the choice is lost."))
    if first.rest is None or second.rest is None or first.rest == second.rest:
        return LagRuling(None, said("Nobody is nearer, or it cannot be told: repeat the lag."))
    return LagRuling(0 if first.rest < second.rest else 1, said("Nearest to the bottom cushion."))


def _fault(stroke: LagStroke, rule_set: RuleSet) -> bool:
    return stroke.strayed or (stroke.long_cushion and rule_set.lag_touching_long_cushion_is_fault)


def _repeat_caused(player: int, rule_set: RuleSet, caused: tuple[int, int]) -> LagRuling:
    if caused[player] + 1 >= rule_set.lag_repeats_that_lose_choice:
        return LagRuling(1 - player, said("Too many repeats caused: the choice is lost."), player)
    return LagRuling(None, said("One ball was played too late: repeat the lag."), player)


def lag_in_words(rule_set: RuleSet) -> tuple[Said, ...]:
    """Return what the referee tells the players before the lag."""
    sentences = [
        said("Red lies on the top spot, both white balls on the starting line."),
        said("Both balls move before one reaches the top cushion; otherwise repeat."),
        said(
            "Who causes %(repeats)s repeats loses the choice.",
            repeats=rule_set.lag_repeats_that_lose_choice,
        ),
        said("A ball that strays and touches the other one, or the red, loses."),
    ]
    if rule_set.lag_touching_long_cushion_is_fault:
        sentences.append(said("A ball that touches a long cushion loses."))
    return (*sentences, said("Nearest to the bottom cushion chooses; equal: repeat."))
