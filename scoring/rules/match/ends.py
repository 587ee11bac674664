"""When an inning, a set and the match end, and who won."""

from __future__ import annotations

from typing import Any

from .colours import COLOURS, Colour, each, other
from .setup import Setup
from .state import State, left_to_go, room


def close_inning(setup: Setup, state: State, colour: Colour) -> None:
    """End the inning of `colour`, pass the turn, and end what ends with it."""
    state["open"][colour] = False
    state["run"][colour] = 0
    state["turn"] = other(colour)
    reached = room(setup, state, colour) == 0
    if state["equalizing"] == colour:
        _finish(setup, state, "distance")
    elif reached and _equalizes(setup, state, colour):
        state["equalizing"] = other(colour)
        _last_inning_position(setup, state)
    elif reached:
        _finish(setup, state, "distance")
    else:
        _check_limit(setup, state, colour)


def _equalizes(setup: Setup, state: State, colour: Colour) -> bool:
    """True where the opponent still has an equalizing inning."""
    if not setup.format["equalizing"] or colour != state["set_starter"]:
        return False
    # In sets only a set of a single inning is equalized.
    return setup.format["sets_to_win"] is None or state["set_innings"][colour] == 1


def _check_limit(setup: Setup, state: State, colour: Colour) -> None:
    limit = setup.format["innings_limit"]
    if limit is None:
        return
    done = {side: state["set_innings"][side] - state["open"][side] for side in COLOURS}
    if min(done.values()) >= limit:
        _finish(setup, state, "limit")
    elif done[colour] == limit and _equalizes(setup, state, colour):
        # The last inning of the second player is played like an equalizing one.
        _last_inning_position(setup, state)


def _last_inning_position(setup: Setup, state: State) -> None:
    if setup.format["equalizing_from"] == "opening":
        back_to_opening(setup, state)


def back_to_opening(setup: Setup, state: State) -> None:
    """Note that the balls return to the opening position in the course of a match."""
    state["opening"] = setup.rule_set.opening_again_on_return


def leader(setup: Setup, state: State) -> Colour | None:
    """Return the colour ahead: who reached the distance, else by share of the own distance."""
    reached = [side for side in COLOURS if (left := left_to_go(setup, state, side)) is not None and left <= 0]
    if len(reached) == 1:
        return reached[0]
    if len(reached) == 2:
        return None
    score = state["score"]
    white, yellow = (setup.distance(state["players"], side) for side in COLOURS)
    # Shares are compared crosswise, so that no division rounds.
    ahead = (
        score["white"] * yellow - score["yellow"] * white
        if white and yellow
        else score["white"] - score["yellow"]
    )
    if ahead == 0:
        return None
    return "white" if ahead > 0 else "yellow"


def _finish(setup: Setup, state: State, ended_by: str) -> None:
    """End the set under way, and the match with it where nothing is left to play."""
    ahead = leader(setup, state)
    state["equalizing"] = None
    wanted = setup.format["sets_to_win"]
    if wanted is None:
        end_match(state, ended_by, ahead)
        return
    if ahead is not None:
        state["sets"][ahead] += 1
        if state["sets"][ahead] >= wanted:
            end_match(state, "sets", ahead)
            return
    _next_set(setup, state)


def _next_set(setup: Setup, state: State) -> None:
    state["set"] += 1
    state["score"] = each(0)
    state["set_innings"] = each(0)
    state["open"] = each(False)
    state["run"] = each(0)
    if setup.rule_set.sets_alternate_start:
        state["set_starter"] = other(state["set_starter"])
    state["turn"] = state["set_starter"]
    state["opening"] = True


def end_match(state: State, ended_by: str, winner: Colour | None) -> None:
    """Close play; `winner` is a colour, None for a draw."""
    end_for_player(state, ended_by, None if winner is None else state["players"][winner])


def end_for_player(state: State, ended_by: str, player: int | None) -> None:
    """Close play in favour of a player id, which may be known before the colours are."""
    state["over"] = True
    state["turn"] = None
    state["opening"] = False
    state["equalizing"] = None
    state["ended_by"] = ended_by
    state["winner"] = player


# How a match may have ended without a winner and still be decided by extra innings.
DRAWN_BY = frozenset({"distance", "limit", "played"})


def is_drawn(setup: Setup, state: State) -> bool:
    """True where extra innings may decide: played to its end, and nobody won."""
    return (
        state["over"]
        and state["winner"] is None
        and state["ended_by"] in DRAWN_BY
        and setup.format["sets_to_win"] is None
        and state["extra"] is None
    )


def open_extra(setup: Setup, state: State, starter: Colour) -> None:
    """Open the extra innings after a draw."""
    state["extra"] = {"white": [], "yellow": [], "open": each(False)}
    state["over"] = False
    state["ended_by"] = None
    state["turn"] = starter
    _extra_position(setup, state)


def _extra_position(setup: Setup, state: State) -> None:
    if setup.rule_set.extra_from == "opening":
        back_to_opening(setup, state)


def close_extra(setup: Setup, state: State, colour: Colour) -> None:
    """End an extra inning; the match ends where a finished pair differs."""
    extra: dict[str, Any] = state["extra"]
    extra["open"][colour] = False
    state["turn"] = other(colour)
    _extra_position(setup, state)
    white, yellow = extra["white"], extra["yellow"]
    if len(white) != len(yellow) or any(extra["open"].values()):
        return
    if sum(white) != sum(yellow):
        end_match(state, "extra", "white" if sum(white) > sum(yellow) else "yellow")
