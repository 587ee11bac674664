"""What captains and organisers do in an encounter: each step by its name, judged before it is done.

The page and the API both come here, so that neither knows more of the rights than the other.
"""

from __future__ import annotations

import uuid as uuids
from collections.abc import Callable, Mapping
from typing import Any

from scoring.access import Actor, Forbidden
from scoring.board_sheets import (
    do_award,
    do_confirm_boards,
    do_dispute_board,
    do_enter_board,
    do_hand_over,
    do_lift_award,
    do_settle_board,
)
from scoring.conducting import read_state
from scoring.encounter_rights import (
    access_organising,
    access_side,
    organises_encounter,
    sides_of,
)
from scoring.encounters import (
    do_answer_postponement,
    do_ask_to_look,
    do_change_line_up,
    do_enter_line_up,
    do_look,
    do_postpone,
)
from scoring.ledger import Author
from scoring.line_ups import read_line_up, warnings_of
from scoring.models import Encounter, Player
from scoring.rules.event.encounters import SIDES, encounter_of, other
from scoring.rules.event.season import rule_of
from scoring.rules.reading import a_bool, a_choice, a_date, a_text, an_int
from scoring.rules.said import Malformed, said


class Step:
    """One step: who, where, what was told with it."""

    def __init__(self, encounter: Encounter, actor: Actor, told: Mapping[str, Any]) -> None:
        self.encounter, self.actor, self.told = encounter, actor, told
        organises = organises_encounter(actor, encounter)
        user = None if actor.user is None else actor.user.pk
        self.author = Author(user_id=user, organises=organises)
        self.uuid: uuids.UUID | None = told.get("uuid")

    def needed(self, name: str) -> Any:
        value = self.told.get(name)
        if value is None or value == "":
            raise Malformed(name, said("This field is needed."))
        return value

    @property
    def side(self) -> str:
        """The side that is acted for: as told, else the one whose captain acts."""
        if self.told.get("side") is not None:
            side = a_choice(self.told["side"], "side", SIDES)
        else:
            own = sides_of(self.actor, self.encounter)
            if len(own) != 1:
                raise Malformed("side", said("Say for which side."))
            side = own[0]
        access_side(self.actor, self.encounter, side)
        return side

    @property
    def why(self) -> str:
        return a_text(self.needed("why"), "why", 500)

    def must_be(self, side: str) -> None:
        access_side(self.actor, self.encounter, side)


Answer = dict[str, Any]


def _line_up(step: Step) -> Answer:
    """Enter a line-up: organisers for a captain who cannot, never over the head of one."""
    side, players = step.side, step.needed("players")
    first = side not in sides_of(step.actor, step.encounter)
    return {"warnings": do_enter_line_up(step.encounter, side, players, step.author, step.uuid, first)}


def _check_line_up(step: Step) -> Answer:
    """Say what is irregular about a line-up, and enter nothing."""
    side, state = step.side, read_state(step.encounter.home.competition)
    players = read_line_up(step.needed("players"), rule_of(state))
    return {"warnings": warnings_of(step.encounter, side, players, state)}


def _coming_in(step: Step) -> tuple[str, int, Player]:
    board = an_int(step.needed("board"), "board", 1, 20)
    player = Player.objects.named().filter(pk=step.needed("player"), merged_into=None).first()
    if player is None:
        raise Malformed("player", said("There is no such player."))
    return step.side, board, player


def _check_change(step: Step) -> Answer:
    """Say what would be irregular with another player on a board, and write nothing."""
    side, board, player = _coming_in(step)
    state = read_state(step.encounter.home.competition)
    shown = encounter_of(state, step.encounter.pk)["revealed"] or {side: []}
    players = [player.pk if at == board else one for at, one in enumerate(shown[side], 1)]
    return {"warnings": warnings_of(step.encounter, side, players, state)}


def _change_line_up(step: Step) -> Answer:
    """Let another player come in on a board that has not begun; both sides read it."""
    side, board, player = _coming_in(step)
    told = do_change_line_up(step.encounter, side, board, player, step.why, step.author, step.uuid)
    return {"warnings": told}


def _ask(step: Step) -> Answer:
    side = step.side
    if side not in sides_of(step.actor, step.encounter):
        raise Forbidden
    do_ask_to_look(step.encounter, side, step.author, step.uuid)
    return {}


def _look(step: Step) -> Answer:
    """Show an organiser the line-up that a captain asked to look at."""
    access_organising(step.actor, step.encounter)
    side = a_choice(step.needed("side"), "side", SIDES)
    return {"looked": {side: do_look(step.encounter, side, step.author)}}


def _postpone(step: Step) -> Answer:
    # An organiser who is no captain here, or says so, moves it at once.
    own = sides_of(step.actor, step.encounter)
    side = None if step.author.organises and step.told.get("side") is None and not own else step.side
    on = step.told.get("on")
    do_postpone(
        step.encounter,
        a_date(step.needed("due"), "due"),
        step.why,
        step.author,
        on=None if not on else a_date(on, "on"),
        side=side,
        uuid=step.uuid,
    )
    return {}


def _answer_postponement(step: Step) -> Answer:
    one = encounter_of(read_state(step.encounter.home.competition), step.encounter.pk)
    asked = one["proposed"]
    agree = a_bool(step.needed("agree"), "agree")
    side = other(asked["side"]) if asked else step.side
    # Who asked may take it back; agreeing is for the other side.
    own = sides_of(step.actor, step.encounter)
    if not agree and asked and asked["side"] in own:
        side = asked["side"]
    step.must_be(side)
    do_answer_postponement(step.encounter, agree, side, step.author, step.uuid)
    return {}


def _board(step: Step) -> Answer:
    step.must_be("home")
    value = {
        name: step.told[name]
        for name in ("board", "outcome", "starter", "home", "away", "innings")
        if step.told.get(name) is not None
    }
    why = None if step.told.get("why") in (None, "") else step.why
    do_enter_board(step.encounter, value, step.author, step.uuid, why)
    return {}


def _hand_over(step: Step) -> Answer:
    step.must_be("home")
    do_hand_over(step.encounter, step.author, step.uuid)
    return {}


def _confirm(step: Step) -> Answer:
    step.must_be("away")
    boards = step.told.get("boards")
    do_confirm_boards(step.encounter, step.author, boards, step.uuid, step.told.get("expected"))
    return {}


def _dispute(step: Step) -> Answer:
    step.must_be("away")
    board = an_int(step.needed("board"), "board", 1, 20)
    do_dispute_board(step.encounter, board, step.why, step.author, step.uuid)
    return {}


def _settle(step: Step) -> Answer:
    access_organising(step.actor, step.encounter)
    do_settle_board(
        step.encounter,
        an_int(step.needed("board"), "board", 1, 20),
        a_text(step.needed("decision"), "decision", 500),
        step.author,
        result=step.told.get("result"),
        uuid=step.uuid,
        expected=step.told.get("expected"),
    )
    return {}


def _award(step: Step) -> Answer:
    access_organising(step.actor, step.encounter)
    to = step.told.get("to")
    team = None if to is None else getattr(step.encounter, a_choice(to, "to", SIDES))
    walkover = bool(step.told.get("walkover"))
    do_award(step.encounter, team, step.why, step.author, walkover=walkover, uuid=step.uuid)
    return {}


def _lift(step: Step) -> Answer:
    access_organising(step.actor, step.encounter)
    do_lift_award(step.encounter, step.why, step.author, step.uuid)
    return {}


STEPS: Mapping[str, Callable[[Step], Answer]] = {
    "check-line-up": _check_line_up,
    "line-up": _line_up,
    "check-change": _check_change,
    "change-line-up": _change_line_up,
    "ask-to-look": _ask,
    "look": _look,
    "postpone": _postpone,
    "answer-postponement": _answer_postponement,
    "board": _board,
    "hand-over": _hand_over,
    "confirm": _confirm,
    "dispute": _dispute,
    "settle": _settle,
    "award": _award,
    "lift-award": _lift,
}


def do_step(encounter: Encounter, actor: Actor, verb: str, told: Mapping[str, Any]) -> Answer:
    """Do a step of an encounter. Raises Forbidden, Malformed with the field, and Refused.

    Answers `warnings`, sentences about a line-up, and `looked`, what an organiser was let see; mostly nothing.
    """
    return STEPS[a_choice(verb, "verb", STEPS)](Step(encounter, actor, told))
