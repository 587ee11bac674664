"""Writes matches.json: matches played at random by the Python fold.

The JavaScript fold must come to the same states, refusals and rows. Run
`python -m tests.cases.make_matches` after the fold has changed on purpose.

The file is compact. A step holds what was sent, and what changed in the public state
(`then`, flags as seq, code, reason, counts and settled_by) or why nothing did; the uuid of
the nth stored entry of a case is `uuid_of(n)`.
`state` is what differs from the state before the first entry, `rows` are tuples in the
order of `columns`, `innings` tuples of set, inning, colour, run, extra, counts and seqs.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.formats import complete_format
from scoring.rules.match.book import Book
from scoring.rules.match.checks import Refused, prepare
from scoring.rules.match.ends import is_drawn
from scoring.rules.match.entry import Entry, read_entry
from scoring.rules.match.play import append, fold, fold_rows
from scoring.rules.match.preview import previewed
from scoring.rules.match.setup import Setup
from scoring.rules.match.shown import innings_of, shown
from scoring.rules.match.state import start
from scoring.rules.rulesets import RULE_SETS
from scoring.rules.said import Malformed

FILE = Path(__file__).with_name("matches.json")
SEED = 1928
CASES = 310
DRAWN = 25
WITHOUT_INNINGS = 14
COLUMNS = (
    "order", "place", "seq", "set", "inning", "colour", "kind", "run", "counts", "opening", "extra",
    "tried", "made", "valid", "cushions", "reason", "details", "codes",
)  # fmt: skip
INNING = ("set", "inning", "colour", "run", "extra", "counts")

# Discipline, rule set, format: every setting that the fold reads, in short matches.
SETUPS: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("three-cushion", "world", {"distance": [3, 3], "equalizing": True}),
    ("three-cushion", "world", {"distance": [5, 4], "equalizing": True, "timeouts": 1}),
    ("three-cushion", "world", {"distance": [4, 4], "equalizing": False}),
    ("three-cushion", "us-reading", {"distance": [4, 4], "equalizing_from": "as-they-lie", "timeouts": 2}),
    ("three-cushion", "national-cushion-first", {"distance": [2, 3], "average_decimals": 2}),
    ("three-cushion", "world", {"distance": [2, 1], "innings_limit": 2, "average_rounding": "half-up"}),
    ("three-cushion", "world", {"distance": [None, None], "innings_limit": 1}),
    ("three-cushion", "world", {"distance": [9, None], "innings_limit": 3, "equalizing": False}),
    ("three-cushion", "world", {"distance": [2, 2], "sets_to_win": 2, "timeouts": 1}),
    ("three-cushion", "us-reading", {"distance": [3, 2], "sets_to_win": 2, "equalizing": False}),
    ("three-cushion", "world", {"distance": [4, 4], "sets_to_win": 1, "innings_limit": 2}),
    ("three-cushion", "world", {"distance": [90, 90], "average_decimals": 0}),
    ("one-cushion", "world", {"distance": [8, 6], "timeouts": 1}),
    ("one-cushion", "national-cushion-first", {"distance": [5, 5], "innings_limit": 2}),
    ("straight-rail", "world", {"distance": [20, 15], "average_rounding": "half-up"}),
    ("straight-rail", "us-reading", {"distance": [10, 10], "equalizing": False, "average_decimals": 6}),
)
ONE_INNING = 6
OWN_RULES = {"opening_again_on_return": False, "sets_alternate_start": False, "extra_from": "as-they-lie"}

ROUTES = (
    "red left top right yellow", "red left top right white", "yellow left top right red",
    "white right top left red", "red left top white", "red left top yellow", "left top right red yellow",
    "left red left top white", "left red top right yellow", "top red yellow", "red yellow", "red white",
    "left top red right white", "red", "left top", "red left left+ yellow", "red left top right+ yellow+",
    "yellow red+", "red top left top white", "red left right left bottom right yellow", "",
)  # fmt: skip
LAYOUT = {"white": [1, 2], "yellow": [1.5, 2], "red": [2, 6]}
LINE = {"direction": 61.5, "speed": 3, "side": 0.25, "height": 0}


def uuid_of(number: int) -> str:
    """Return the uuid of the nth stored entry of a case."""
    return f"00000000-0000-4000-8000-{number:012x}"


def contacts_of(route: str) -> list[dict[str, Any]]:
    """Read a route: names in order, with a plus at the same instant as the one before."""
    contacts: list[dict[str, Any]] = []
    for word in route.split():
        name = word.rstrip("+")
        contact: dict[str, Any] = {"ball" if name in ("white", "yellow", "red") else "rail": name}
        contacts.append(contact | ({"tie": True} if word != name else {}))
    return contacts


class Play:
    """One case: a match, and what somebody careless writes into it."""

    def __init__(self, setup: Setup, dice: random.Random) -> None:
        self.setup, self.dice = setup, dice
        self.entries: list[Entry] = []
        self.state = start(setup)
        self.seen = public(setup, self.state)
        self.steps: list[dict[str, Any]] = []

    def send(self, kind: str, *, misdated: bool = False, **fields: Any) -> None:
        """Write one entry and note what came of it."""
        sent = {"kind": kind} | fields
        step: dict[str, Any] = {"send": sent}
        self.steps.append(step)
        number = len(self.entries) + 1
        book = Book(self.entries)
        try:
            entry = replace(read_entry(sent), seq=number, uuid=uuid_of(number), misdated=misdated)
            ready = prepare(self.setup, self.state, entry, book)
        except Refused as refused:
            step["refused"] = refused.code
            return
        except Malformed as malformed:
            step["malformed"] = malformed.field
            return
        if misdated:
            step["misdated"] = True
        if ready.kind == "void" or ready.corrects:
            preview = previewed(self.setup, book, ready)
            step["changes"] = [str(change) for change in preview.changes]
            step["renumber"] = preview.renumber
        self.entries.append(ready)
        if ready.refolds:
            self.state = fold(self.setup, Book(self.entries))
        else:
            self.state, _ = append(self.setup, self.state, ready)
        seen = public(self.setup, self.state)
        step["then"] = {name: value for name, value in seen.items() if value != self.seen[name]}
        self.seen = seen

    def summed_up(self) -> dict[str, Any]:
        state, rows = fold_rows(self.setup, Book(self.entries))
        first = start(self.setup)
        return {
            "steps": self.steps,
            "state": {name: value for name, value in state.items() if value != first[name]},
            "rows": [[row[name] for name in COLUMNS] for row in rows],
            "innings": [
                [*(one[name] for name in INNING), [row["seq"] for row in one["strokes"]]]
                for one in innings_of(rows)
            ],
        }

    # What somebody might write

    def anything(self) -> None:
        planned = self.state["players"]["white"] is None
        if planned and self.dice.random() < 0.9:
            self.send("open", starter=self.dice.choice([7, 9]), decided_by=self.dice.choice(["lag", "draw"]))
            return
        if self.state["suspended"] and self.dice.random() < 0.7:
            what = self.dice.choice([{}, {"table": 4}, {"why": "light is back"}, None])
            self.send("suspend") if what is None else self.send("resume", **what)
            return
        if is_drawn(self.setup, self.state) and self.dice.random() < 0.8:
            self.extra()
            return
        weights = AFTER_END if self.state["over"] else DURING
        action = self.dice.choices(list(weights), list(weights.values()))[0]
        if action == "inning" and any(self.state["open"].values()) and self.dice.random() < 0.8:
            action = self.dice.choice(["point", "miss"])
        getattr(self, action)()

    def point(self) -> None:
        self.send("point", misdated=self.dice.random() < 0.02, **self.described())

    def miss(self) -> None:
        self.send("miss", **self.described())

    def foul(self) -> None:
        reason = self.dice.choice([None, "outside", "time", "touched", "wrong-ball"])
        self.send("foul", **({} if reason is None else {"reason": reason}), **self.described())

    def inning(self) -> None:
        named = {"by": self.dice.choice(["white", "yellow"])} if self.dice.random() < 0.15 else {}
        self.send("inning", run=self.likely_run(), **named)

    def void(self) -> None:
        back = self.dice.choice([0, 0, 0, 1, 2, 5])
        target = self.reference(max(1, len(self.entries) - back))
        self.send("void", target=target, **({"why": "slip"} if self.dice.random() < 0.3 else {}))

    def instead(self) -> None:
        self.send(**self.correction("instead_of"))

    def before(self) -> None:
        correction = self.correction("before")
        if self.dice.random() < 0.08:
            correction["instead_of"] = correction["before"]
        self.send(**correction)

    def annotate(self) -> None:
        what = self.dice.choice(["contacts", "contacts", "reason", "family", "layout"])
        value = {
            "contacts": contacts_of(self.dice.choice(ROUTES)),
            "reason": self.dice.choice(["outside", "time"]),
            "family": "bank",
            "layout": LAYOUT,
        }[what]
        self.send("annotate", target=self.some_target(), **{what: value})

    def dispute(self) -> None:
        self.send("dispute", target=self.some_target(), why="the red moved")

    def settle(self) -> None:
        flagged = [flag["seq"] for flag in self.state["flags"]]
        target = self.dice.choice(flagged) if flagged else self.some_target()
        self.send("settle", target=target, decision="as it was called")

    def position(self) -> None:
        self.send("position", layout=LAYOUT, **self.dice.choice([{}, {"line": LINE, "cue_ball": "white"}]))

    def timeout(self) -> None:
        self.send("timeout")

    def clock(self) -> None:
        self.send("clock", seconds=self.dice.choice([10, 12.5]))

    def suspend(self) -> None:
        self.send("suspend")

    def resume(self) -> None:
        self.send("resume")

    def extra(self) -> None:
        self.send("extra", **self.dice.choice([{}, {"starter": 7}, {"starter": 9}]))

    def confirm(self) -> None:
        self.send("confirm", **self.dice.choice([{}, {"by": "both players"}]))

    def open(self) -> None:
        self.send("open", starter=7)

    def give_up(self) -> None:
        self.send(self.dice.choice(["concede", "retire"]), player=self.dice.choice([7, 9, 7, 9, 8]))

    def result(self) -> None:
        outcome = self.dice.choice(["walkover", "award", "disqualified", "annulled", "played", "played"])
        if outcome != "played":
            self.send("result", outcome=outcome, **({} if outcome == "annulled" else {"player": 9}))
            return
        score = {"white": self.dice.randint(0, 3), "yellow": self.dice.randint(0, 3)}
        innings = {"white": self.dice.randint(0, 3), "yellow": self.dice.randint(1, 3)}
        high = {"high_run": {"white": 2, "yellow": 2}} if self.dice.random() < 0.5 else {}
        self.send("result", outcome=outcome, score=score, innings=innings, **high)

    def nonsense(self) -> None:
        self.send(**self.dice.choice(NONSENSE))

    # Of which it consists

    def likely_run(self) -> int:
        turn = self.state["turn"] or "white"
        left = self.seen["to_go"][turn]
        run = self.dice.choice([0, 0, 0, 1, 1, 2, 3, 4, 7])
        if left is None or self.dice.random() < 0.06:
            return self.dice.choice([run, run, run, 40])
        return min(run, left)

    def described(self) -> dict[str, Any]:
        fields: dict[str, Any] = {}
        if self.dice.random() < 0.4:
            meets_itself = self.state["turn"] or "white"
            routes = [route for route in ROUTES if meets_itself not in route or self.dice.random() < 0.03]
            fields["contacts"] = contacts_of(self.dice.choice(routes))
        if self.dice.random() < 0.03:
            fields["cue_ball"] = self.dice.choice(["white", "yellow"])
        if self.dice.random() < 0.06:
            fields["family"] = self.dice.choice(["ticky", "umbrella"])
        if self.dice.random() < 0.05:
            fields["opening"] = self.dice.random() < 0.5
        if self.dice.random() < 0.05:
            fields["by"] = self.dice.choice(["white", "yellow"])
        return fields

    def correction(self, name: str) -> dict[str, Any]:
        fields: dict[str, Any] = self.dice.choice(
            [
                {"kind": "point"},
                {"kind": "miss"},
                {"kind": "foul", "reason": "time"},
                {"kind": "inning", "run": self.likely_run()},
                {"kind": "inning", "run": self.dice.randint(0, 3)},
            ]
        )
        if self.dice.random() < 0.25:
            fields = fields | {"by": self.dice.choice(["white", "yellow"])}
        return fields | {name: self.some_target(), "why": "miscounted"}

    def some_target(self) -> int | str:
        strokes = [one.seq for one in self.entries if one.run or one.kind in ("miss", "inning", "foul")]
        if strokes and self.dice.random() < 0.9:
            return self.reference(self.dice.choice(strokes))
        return self.reference(self.dice.randint(1, len(self.entries) + 2))

    def reference(self, seq: int) -> int | str:
        return uuid_of(seq) if self.dice.random() < 0.3 else seq


DURING = {
    "inning": 30, "point": 26, "miss": 20, "foul": 6, "void": 6, "instead": 7, "before": 4, "annotate": 4,
    "dispute": 2, "settle": 3, "position": 2, "timeout": 3, "clock": 1, "suspend": 2, "resume": 1, "extra": 1,
    "confirm": 1, "open": 1, "give_up": 1, "result": 1, "nonsense": 2,
}  # fmt: skip
AFTER_END = {
    "extra": 10, "confirm": 8, "void": 8, "instead": 6, "before": 3, "annotate": 3, "settle": 4, "dispute": 2,
    "inning": 3, "point": 2, "miss": 2, "result": 3, "open": 1, "suspend": 1, "timeout": 1, "give_up": 1,
}  # fmt: skip
NONSENSE = (
    {"kind": "goal"},
    {"kind": "inning"},
    {"kind": "inning", "run": -1},
    {"kind": "inning", "run": 1001},
    {"kind": "inning", "run": "2"},
    {"kind": "point", "points": 2},
    {"kind": "point", "contacts": [{"ball": "red", "rail": "left"}]},
    {"kind": "point", "contacts": [{"rail": "left", "tie": True}]},
    {"kind": "miss", "why": "x" * 501},
    {"kind": "foul", "reason": "cough"},
    {"kind": "void"},
    {"kind": "void", "target": 0},
    {"kind": "position", "layout": {"white": [1, 1], "yellow": [2, 2], "red": [4.5, 1]}},
    {"kind": "annotate", "target": 1},
    {"kind": "clock", "seconds": -1},
    {"kind": "result", "outcome": "walkover"},
    {"kind": "result", "outcome": "played", "score": {"white": 1, "yellow": 1}},
    {"kind": "timeout", "seconds": 3},
)


def public(setup: Setup, state: dict[str, Any]) -> dict[str, Any]:
    """Return the public state without what never changes, its flags in short."""
    constant = {"id", "competition", "discipline", "format", "rule_set", "entrants"}
    seen = {name: value for name, value in shown(setup, state).items() if name not in constant}
    return seen | {name: [_short(flag) for flag in seen[name]] for name in ("flags", "settled")}


def _short(flag: dict[str, Any]) -> list[Any]:
    reason = flag["ruling"] and flag["ruling"]["reason"]
    return [flag["seq"], flag["code"], reason, flag["counts"], flag["settled_by"]]


def setups() -> Iterator[Setup]:
    """Return each setup under its rule set, and some once more under the club's own."""
    for number, (discipline, rules, given) in enumerate(SETUPS):
        game = DISCIPLINES[discipline]
        rule_set = RULE_SETS[rules]
        if number % 3 == 2:
            rule_set = replace(rule_set, code=f"{rules}-own", **OWN_RULES)
        yield Setup((7, 9), game, complete_format(given, {}, game), rule_set, id=1, table=2)


def cases(all_setups: list[Setup]) -> Iterator[dict[str, Any]]:
    for number in range(CASES):
        dice = random.Random(SEED * 1000 + number)
        chosen = number % len(all_setups)
        play = Play(all_setups[chosen], dice)
        for _ in range(dice.choice([3, 5, 6, 8, 9, 10, 11, 13, 17])):
            play.anything()
        yield {"setup": chosen} | play.summed_up()
    for number in range(DRAWN):
        yield {"setup": ONE_INNING} | _drawn(all_setups[ONE_INNING], number)
    for number in range(WITHOUT_INNINGS):
        chosen = number % len(all_setups)
        yield {"setup": chosen} | _without_innings(all_setups[chosen], number)


def _drawn(setup: Setup, number: int) -> dict[str, Any]:
    """Return a match that extra innings may decide."""
    play = Play(setup, random.Random(SEED * 2000 + number))
    play.send("open", starter=7)
    play.send("inning", run=number % 3)
    play.send("inning", run=number % 3)
    for _ in range(5 + number % 4):
        play.anything()
    return play.summed_up()


def _without_innings(setup: Setup, number: int) -> dict[str, Any]:
    """Return a match of which the points alone are known, once opened and played or not, then more."""
    dice = random.Random(SEED * 3000 + number)
    play = Play(setup, dice)
    if number % 7:
        play.send("open", starter=dice.choice([7, 9]))
    if number % 3 == 2:
        play.send("inning", run=1)
        play.send("inning", run=0)
    score = {"white": dice.randint(0, 12), "yellow": dice.randint(0, 12)}
    # Some high runs are no more than the points, some are.
    high = {"high_run": {"white": dice.randint(0, 4), "yellow": dice.randint(0, 4)}} if number % 2 else {}
    winner = {"player": dice.choice([7, 9])} if number % 4 == 3 else {}
    play.send("result", outcome="played", score=score, **high, **winner)
    play.send("confirm")
    for _ in range(number % 5):
        play.anything()
    return play.summed_up()


def everything() -> dict[str, Any]:
    known = list(setups())
    return {
        "about": "Written by make_matches.py from the Python fold; both folds must agree with it.",
        "disciplines": {one.discipline.code: one.discipline.to_json() for one in known},
        "rule_sets": {one.rule_set.code: one.rule_set.to_json() for one in known},
        "setups": [
            one.to_json() | {"discipline": one.discipline.code, "rule_set": one.rule_set.code}
            for one in known
        ],
        "columns": COLUMNS,
        "cases": list(cases(known)),
    }


def text() -> str:
    """Return the whole file: one line a case."""
    whole = everything()
    lines = ",\n".join(_compact(case) for case in whole.pop("cases"))
    return _compact(whole)[:-1] + ',"cases":[\n' + lines + "\n]}\n"


def _compact(value: Any) -> str:
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False)


if __name__ == "__main__":
    FILE.write_text(text(), "utf-8")
