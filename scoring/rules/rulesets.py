"""Rule sets: one named, dated setting for every point on which the published texts differ.

Each setting carries its meaning and its source in `RuleSet.__dataclass_fields__[name].metadata`
(`settings()` lists them). A match keeps the rule set it was opened with.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from pathlib import Path
from typing import Any

from .reading import a_bool, a_choice, a_code, a_date, a_text, an_int, an_object
from .said import Malformed, Said, said

DEFAULT = "world"


def _setting(read: Any, meaning: Said, source: str) -> Any:
    return field(metadata={"read": read, "meaning": meaning, "source": source})


@dataclass(frozen=True)
class OneOf:
    """Reads one of a few codes; a form offers them."""

    choices: tuple[str, ...]

    def __call__(self, value: Any, name: str) -> str:
        return a_choice(value, name, self.choices)


@dataclass(frozen=True)
class Whole:
    """Reads a whole number between two limits, both included."""

    low: int
    high: int

    def __call__(self, value: Any, name: str) -> int:
        return an_int(value, name, self.low, self.high)


@dataclass(frozen=True, kw_only=True)
class RuleSet:
    """The regulations a match is played under. See `settings()` for meanings and sources."""

    code: str
    name: str
    since: date

    opening_red_first: bool = _setting(
        a_bool,
        said("At the opening stroke the red must be the first ball met."),
        "World rules of carom billiard, art. 23",
    )
    opening_red_direct: bool = _setting(
        a_bool,
        said("At the opening stroke no cushion may come before the red."),
        "World rules of carom billiard, art. 23; a Danish club's rules allow a cushion first",
    )
    opening_again_on_return: bool = _setting(
        a_bool,
        said("After any later return to the opening position the rule of the opening stroke holds again."),
        "KNBB SAR 5204/5402",
    )
    rail_frozen: str = _setting(
        OneOf(("foul", "uncounted")),
        said(
            "Playing straight into the cushion the cue ball lies against: a foul, or a contact"
            " that does not count."
        ),
        "World rules of carom billiard, 4.1.8 (foul); US rules (uncounted, from memory)",
    )
    frame_contact_is_off_table: bool = _setting(
        a_bool,
        said("A ball that touched the frame and came back counts as off the table."),
        "national texts",
    )
    start_decided_by: str = _setting(
        OneOf(("lag", "draw", "home")),
        said("Who starts is decided by the lag, by draw, or by the home side."),
        "World rules of carom billiard, art. 22 (lag); a league's rules (draw, home)",
    )
    lag_touching_long_cushion_is_fault: bool = _setting(
        a_bool,
        said("A lag that touches a long cushion is a fault."),
        "a Danish club's rules",
    )
    lag_repeats_that_lose_choice: int = _setting(
        Whole(1, 9),
        said("Who causes so many repeats of the lag loses the choice."),
        "World rules of carom billiard, art. 22",
    )
    starting_spot_tenths_mm: int = _setting(
        Whole(1000, 3000),
        said("Distance from the bottom spot to a starting spot, in tenths of a millimetre."),
        "national federation drawings (183 mm); 182.5 mm from memory",
    )
    sets_alternate_start: bool = _setting(
        a_bool,
        said("In sets the start alternates."),
        "from memory",
    )
    extra_from: str = _setting(
        OneOf(("opening", "as-they-lie")),
        said("Extra innings after a draw are played from the opening position, or from where the balls lie."),
        "forum report",
    )
    time_overrun_gives_opening: bool = _setting(
        a_bool,
        said("When the time is up and no time-out is left, the opponent gets the opening position."),
        "championship rules 2014",
    )
    wrong_ball_warning_by: str = _setting(
        OneOf(("nobody", "referee", "referee-and-scorekeeper", "anybody")),
        said("Who may warn a player about to play the wrong ball."),
        "three Dutch texts",
    )
    wrong_ball_cancels_last_point: bool = _setting(
        a_bool,
        said("A wrong ball found out after a counted point takes that last point back."),
        "three Dutch texts",
    )

    @classmethod
    def from_json(cls, data: Any) -> RuleSet:
        """Read a rule set: the code of a preset, or an object of settings.

        What an object leaves out comes from the preset it names (`preset`, else its `code`,
        else the world rules). Raises Malformed with the field (`rule_set.rail_frozen`).
        """
        if data is None:
            return RULE_SETS[DEFAULT]
        if isinstance(data, str):
            return RULE_SETS[a_choice(data, "rule_set", RULE_SETS)]
        data = an_object(data, "rule_set", (*cls.__dataclass_fields__, "preset"))
        if "preset" in data:
            base = RULE_SETS[a_choice(data["preset"], "rule_set.preset", RULE_SETS)]
        else:
            code = data.get("code")
            base = RULE_SETS.get(code if isinstance(code, str) else DEFAULT, RULE_SETS[DEFAULT])
        changes = {
            name: _reader(name)(value, f"rule_set.{name}") for name, value in data.items() if name != "preset"
        }
        own = replace(base, **changes)
        if "code" not in data and own != base:
            own = replace(own, code=f"{base.code}-own")
        return own

    def to_json(self) -> dict[str, Any]:
        """Return the rule set as JSON values; `from_json` reads them back."""
        data = {one.name: getattr(self, one.name) for one in fields(self)}
        return data | {"since": self.since.isoformat()}


def _reader(name: str) -> Any:
    own = {"code": a_code, "name": a_text, "since": a_date}
    return own[name] if name in own else RuleSet.__dataclass_fields__[name].metadata["read"]


@dataclass(frozen=True)
class Setting:
    """A setting in words: its name, what it means, and where the texts say so.

    read: `a_bool`, or a OneOf or Whole that knows what may be set.
    """

    name: str
    meaning: Said
    source: str
    read: Any = a_bool


def settings() -> tuple[Setting, ...]:
    """Return every setting of a rule set, in the order of a match."""
    return tuple(
        Setting(one.name, one.metadata["meaning"], one.metadata["source"], one.metadata["read"])
        for one in fields(RuleSet)
        if one.metadata
    )


def load(text: str) -> dict[str, RuleSet]:
    """Read a JSON list of complete rule sets into a mapping by code."""
    sets = {}
    for row in json.loads(text):
        row = an_object(row, "rule_set", RuleSet.__dataclass_fields__)
        for name in RuleSet.__dataclass_fields__:
            if name not in row:
                raise Malformed(f"rule_set.{name}", said("this is missing"))
        sets[row["code"]] = RuleSet(
            **{name: _reader(name)(value, f"rule_set.{name}") for name, value in row.items()}
        )
    return sets


RULE_SETS: Mapping[str, RuleSet] = load(
    Path(__file__).with_name("data").joinpath("rule_sets.json").read_text("utf-8")
)
