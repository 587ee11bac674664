"""The shot clock: published clocks as dated presets, and what they say at an instant.

The clock runs when all balls have stopped and the table is free (UMB notice of 17 Dec 2019).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from .formats import TIMEOUT_MODES
from .reading import a_choice, a_code, a_date, a_text, an_int, an_object, int_or_none
from .said import Malformed, Said, said


@dataclass(frozen=True)
class Clock:
    """A clock for a stroke.

    seconds: for a stroke. warning: after so many of them, None for no warning.
    timeouts: pairs (up to this distance, how many), the last with None: any distance.
    timeout_seconds: that one time-out adds. mode: `automatic` (used when the time is up)
    or `called` (by the player, before). since: None where the text is undated.
    """

    code: str
    name: str
    seconds: int
    warning: int | None
    timeouts: tuple[tuple[int | None, int], ...]
    timeout_seconds: int
    mode: str
    since: date | None
    source: str

    @classmethod
    def from_json(cls, data: Any) -> Clock:
        """Read a clock. Raises Malformed with the field (`clock.seconds`)."""
        data = an_object(data, "clock", cls.__dataclass_fields__)
        for name in cls.__dataclass_fields__:
            if name not in data:
                raise Malformed(f"clock.{name}", said("this is missing"))
        seconds = an_int(data["seconds"], "clock.seconds", 5, 600)
        return cls(
            code=a_code(data["code"], "clock.code"),
            name=a_text(data["name"], "clock.name"),
            seconds=seconds,
            warning=int_or_none(data["warning"], "clock.warning", 1, seconds - 1),
            timeouts=_timeouts(data["timeouts"]),
            timeout_seconds=an_int(data["timeout_seconds"], "clock.timeout_seconds", 1, 600),
            mode=a_choice(data["mode"], "clock.mode", TIMEOUT_MODES),
            since=None if data["since"] is None else a_date(data["since"], "clock.since"),
            source=a_text(data["source"], "clock.source", 200),
        )

    def to_json(self) -> dict[str, Any]:
        """Return the clock as JSON values; `from_json` reads them back."""
        data = {name: getattr(self, name) for name in self.__dataclass_fields__}
        return data | {
            "timeouts": [list(pair) for pair in self.timeouts],
            "since": self.since.isoformat() if self.since else None,
        }

    def for_format(self, distance: int | None) -> dict[str, Any]:
        """Return the fields of a format that set this clock for a match to `distance`."""
        return {
            "shot_seconds": self.seconds,
            "warning_seconds": self.warning,
            "timeouts": timeouts_for(self, distance),
            "timeout_seconds": self.timeout_seconds,
            "timeout_mode": self.mode,
        }


def _timeouts(value: Any) -> tuple[tuple[int | None, int], ...]:
    field = "clock.timeouts"
    if not isinstance(value, list | tuple) or not value:
        raise Malformed(field, said("pairs of a distance and a number of time-outs are needed here"))
    pairs = []
    for place, pair in enumerate(value):
        if not isinstance(pair, list | tuple) or len(pair) != 2:
            raise Malformed(f"{field}[{place}]", said("a distance and a number of time-outs are needed here"))
        last = place == len(value) - 1
        most = int_or_none(pair[0], f"{field}[{place}]", 1, 1000)
        if (most is None) != last:
            raise Malformed(
                f"{field}[{place}]", said("the last pair, and it alone, is for any distance: null")
            )
        pairs.append((most, an_int(pair[1], f"{field}[{place}]", 0, 20)))
    return tuple(pairs)


def timeouts_for(clock: Clock, distance: int | None) -> int:
    """Return how many time-outs each player has in a match to `distance` (None: no distance).

    Distances between the published ones follow the next higher (derived).
    """
    *bounded, (_, otherwise) = clock.timeouts
    for most, count in bounded:
        if distance is not None and most is not None and distance <= most:
            return count
    return otherwise


@dataclass(frozen=True)
class Reading:
    """What a clock shows: seconds left (below 0 once the time is up), and whether to warn."""

    left: float
    warn: bool
    over: bool


def limit_of(seconds: int, timeout_seconds: int | None, used: int = 0, restored: float = 0) -> float:
    """Return the limit for a stroke [s] after `used` time-outs and seconds given back by the referee."""
    return seconds + used * (timeout_seconds or 0) + restored


def read(format_: Mapping[str, Any], elapsed: float, *, used: int = 0, restored: float = 0) -> Reading | None:
    """Return what the clock of `format_` shows `elapsed` seconds into a stroke; None without a clock.

    used: time-outs taken in this stroke. restored: seconds the referee gave back in it.
    The warning keeps its distance from the end when the limit moves.
    """
    seconds, warning = format_["shot_seconds"], format_["warning_seconds"]
    if seconds is None:
        return None
    limit = limit_of(seconds, format_["timeout_seconds"], used, restored)
    left = limit - elapsed
    return Reading(left=left, warn=warning is not None and left <= seconds - warning, over=left <= 0)


@dataclass(frozen=True)
class Overrun:
    """What happens when the time is up: a time-out is used, or a foul `time`.

    timeouts_left: after it. opening: the opponent gets the opening position.
    Points already made in the inning stand (from memory).
    """

    outcome: str
    timeouts_left: int
    opening: bool
    text: Said


def overrun(mode: str, timeouts_left: int, *, gives_opening: bool = True) -> Overrun:
    """Tell what happens when the time for a stroke is up.

    gives_opening: the rule set's `time_overrun_gives_opening` (championship rules 2014).
    """
    if mode == "automatic" and timeouts_left > 0:
        left = timeouts_left - 1
        return Overrun(
            "timeout", left, False, said("the time is up: a time-out is used, %(left)s left", left=left)
        )
    text = (
        said("the time is up: the inning ends, the opponent plays from the opening position")
        if gives_opening
        else said("the time is up: the inning ends")
    )
    return Overrun("time", timeouts_left, gives_opening, text)


CLOCKS: Mapping[str, Clock] = {
    one.code: one
    for one in map(
        Clock.from_json,
        json.loads(Path(__file__).with_name("data").joinpath("clocks.json").read_text("utf-8")),
    )
}
