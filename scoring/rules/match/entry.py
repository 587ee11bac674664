"""What may be written into the ledger of a match, and its shape.

`read_entry` turns what a device sent into an `Entry`, or says which field is
malformed. It judges shape alone; `checks` judges whether the entry fits.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from scoring.rules.said import Malformed, said

from . import fields as read

STROKES = frozenset({"point", "miss", "foul"})
RUNS = STROKES | {"inning"}
# These stand at a place in the order of play; the others are about a place.
PLACED = RUNS | {
    "open", "timeout", "clock", "position", "suspend", "resume", "extra", "concede", "retire",
    "result",
}  # fmt: skip
# An entry of these kinds never makes another device's view of the play out of date.
QUIET = frozenset({"annotate", "dispute", "settle", "position", "clock"})
# Fields that say where and why an entry stands, not what was played; `by` is kept apart.
_ABOUT_PLACE = frozenset({"instead_of", "before", "why", "by"})
FREE_TEXT = frozenset({"why", "decision", "source"})
OUTCOMES = ("walkover", "award", "disqualified", "annulled", "played")


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of the ledger as the fold sees it.

    `fields` holds what the kind carries, as sent. `by`, `codes` and `misdated` are
    filled in when the entry is stored: the colour on turn, the flags a `settle`
    settles, and whether the device's clock could not be believed.
    """

    kind: str
    fields: Mapping[str, Any] = field(default_factory=dict)
    seq: int = 0
    uuid: str = ""
    by: str | None = None
    codes: tuple[str, ...] | None = None
    misdated: bool = False

    def get(self, name: str) -> Any:
        return self.fields.get(name)

    @property
    def corrects(self) -> bool:
        return self.get("instead_of") is not None or self.get("before") is not None

    @property
    def refolds(self) -> bool:
        """True where the entry changes what stands earlier in the ledger."""
        return self.corrects or self.kind in {"void", "annotate", "dispute", "settle"}

    @property
    def reopens(self) -> bool:
        """True where a confirmed match must be confirmed again after this entry."""
        return self.corrects or self.kind in {"void", "result"}

    @property
    def side(self) -> str:
        """The colour that a prepared stroke or inning counts for."""
        if self.by is None:
            raise TypeError("this entry was not prepared")
        return self.by

    @property
    def run(self) -> int:
        """Points this entry writes."""
        if self.kind == "inning":
            return self.fields["run"]
        return 1 if self.kind == "point" else 0

    def says_the_same(self, other: Entry) -> bool:
        """True where both write the same of play, wherever and for whatever reason."""
        return (self.kind, self.by, self._said()) == (other.kind, other.by, other._said())

    def _said(self) -> dict[str, Any]:
        return {name: value for name, value in self.fields.items() if name not in _ABOUT_PLACE}

    def to_json(self) -> dict[str, Any]:
        """Return the flat form that devices read and fold."""
        flat: dict[str, Any] = {"seq": self.seq, "uuid": self.uuid, "kind": self.kind}
        flat |= self.fields
        if self.by is not None:
            flat["by"] = self.by
        if self.codes is not None:
            flat["codes"] = list(self.codes)
        if self.misdated:
            flat["misdated"] = True
        return flat


Reader = Callable[[Any, str], Any]

_DESCRIBED: dict[str, Reader] = {
    "contacts": read.contacts,
    "family": read.family,
    "layout": read.layout,
    "cue_ball": read.colour,
    "line": read.strike,
}
_IN_PLACE: dict[str, Reader] = {
    "instead_of": read.reference,
    "before": read.reference,
    "why": read.text,
    "by": read.colour,
}
_STROKE = _DESCRIBED | _IN_PLACE | {"clock": read.seconds, "opening": read.flag}

# kind -> (required fields, optional fields)
KINDS: dict[str, tuple[dict[str, Reader], dict[str, Reader]]] = {
    "open": (
        {"starter": read.identity},
        {"decided_by": read.one_of("lag", "draw", "home", "other")},
    ),
    "point": ({}, _STROKE),
    "miss": ({}, _STROKE),
    "foul": ({}, _STROKE | {"reason": read.foul_reason}),
    "inning": ({"run": read.whole(0, 1000)}, _IN_PLACE),
    "timeout": ({}, {}),
    "clock": ({"seconds": read.seconds}, {"why": read.text}),
    "position": (
        {"layout": read.layout},
        {"cue_ball": read.colour, "line": read.strike},
    ),
    "annotate": (
        {"target": read.reference},
        _DESCRIBED | {"reason": read.foul_reason},
    ),
    "void": ({"target": read.reference}, {"why": read.text}),
    "suspend": ({}, {"layout": read.layout, "why": read.text}),
    "resume": ({}, {"table": read.identity, "why": read.text}),
    "dispute": ({"target": read.reference}, {"why": read.text}),
    "settle": ({"target": read.reference}, {"decision": read.text, "why": read.text}),
    "extra": ({}, {"starter": read.identity}),
    "concede": ({"player": read.identity}, {"why": read.text}),
    "retire": ({"player": read.identity}, {"why": read.text}),
    "result": (
        {"outcome": read.one_of(*OUTCOMES)},
        {
            "player": read.identity,
            "score": read.by_colour,
            "innings": read.by_colour,
            "high_run": read.by_colour,
            "source": read.text,
            "why": read.text,
        },
    ),
    "confirm": ({}, {"by": read.text, "why": read.text}),
}


def read_entry(value: Any) -> Entry:
    """Return the entry that `value` describes; raise `Malformed` where it cannot be read.

    `value` holds `kind` and the fields of that kind, nothing else.
    """
    if not isinstance(value, Mapping):
        raise Malformed("entry", said("Send one object with a kind."))
    kind = value.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        raise Malformed("kind", said("Send one of: %(kinds)s.", kinds=", ".join(KINDS)))
    required, optional = KINDS[kind]
    known = required | optional
    got: dict[str, Any] = {}
    for name, raw in value.items():
        if name == "kind":
            continue
        if name not in known:
            raise Malformed(_printable(name), said("%(kind)s has no such field; leave it out.", kind=kind))
        if raw is not None:
            got[name] = known[name](raw, name)
    for name in required:
        if name not in got:
            raise Malformed(name, said("%(kind)s needs this field.", kind=kind))
    _read_together(kind, got)
    return Entry(kind=kind, fields=got, by=got.get("by") if kind in RUNS else None)


def _printable(name: object) -> str:
    """Return a field's name as it may be answered: nothing that no answer can carry."""
    return name if isinstance(name, str) and 0 < len(name) <= 40 and name.isprintable() else "?"


def _read_together(kind: str, got: Mapping[str, Any]) -> None:
    """Judge fields that only make sense with one another."""
    if kind == "annotate" and len(got) == 1:
        raise Malformed("annotate", said("Say what is added: layout, contacts, family, line or reason."))
    if kind != "result":
        return
    played = got["outcome"] == "played"
    if not played and got["outcome"] != "annulled" and "player" not in got:
        raise Malformed("player", said("Name the player whom the result favours."))
    for name in ("score", "innings", "high_run"):
        if name in got and not played:
            raise Malformed(name, said("Totals belong to a result that was played."))
    # Of an old result the innings may be lost: then it says where the score comes from.
    known = "score" in got and ("innings" in got or "source" in got)
    if played and not known:
        missing = "innings" if "score" in got else "score"
        raise Malformed(missing, said("A played result needs the score and the innings of both."))
