"""What everybody may read of a competition, and since when nothing of it changes any more.

state["publication"]: {published, withheld, closed, reopened, notice}. `published`: None until it was
first said. `withheld`: the PARTS that outsiders do not see while it is published, in the order of
PARTS. `closed`: None, or {seq, at, fingerprint} of the closing that holds. `reopened`: {seq, at} of
every time it was opened again. `notice`: the seq of the entry whose `decision` is the notice that
stands on the public page, None for none. Parts that are not named in `publish` or `unpublish` are all.
"""

from __future__ import annotations

import re
from typing import Any

from scoring.rules.match.checks import Refused
from scoring.rules.reading import an_int
from scoring.rules.said import Malformed, said

from .entry import EventEntry, Kind, State

PARTS = ("standings", "schedule", "bracket", "results", "sheets", "prizes")
FINGERPRINT = re.compile(r"[0-9a-f]{64}")
MOST_MATCHES = 1_000_000


def start() -> State:
    """Return the part of the state that is kept here."""
    return {
        "publication": {"published": None, "withheld": [], "closed": None, "reopened": [], "notice": None}
    }


def parts(value: Any, name: str) -> list[str]:
    """Return names of parts, at least one, none of them twice, in the order of PARTS."""
    if not isinstance(value, list) or not value:
        raise Malformed(name, said("name at least one part"))
    for one in value:
        if not isinstance(one, str) or one not in PARTS:
            raise Malformed(name, said("one of these is needed here: %(choices)s", choices=", ".join(PARTS)))
    if len(set(value)) < len(value):
        raise Malformed(name, said("a part stands here twice"))
    return [one for one in PARTS if one in value]


def _fingerprint(value: Any, name: str) -> str:
    if not isinstance(value, str) or not FINGERPRINT.fullmatch(value):
        raise Malformed(name, said("a fingerprint of 64 digits is needed here"))
    return value


def _count(value: Any, name: str) -> int:
    return an_int(value, name, 0, MOST_MATCHES)


def _publish(state: State, entry: EventEntry) -> None:
    """Let everybody read the parts, beside those that everybody reads already."""
    own = state["publication"]
    before = own["withheld"] if own["published"] else PARTS
    shown = entry.fields.get("parts") or PARTS
    own["withheld"] = [one for one in PARTS if one in before and one not in shown]
    own["published"] = True


def _unpublish(state: State, entry: EventEntry) -> None:
    """Take parts back; nothing is public once none is left."""
    own = state["publication"]
    hidden = entry.fields.get("parts") or PARTS
    own["withheld"] = [one for one in PARTS if one in own["withheld"] or one in hidden]
    own["published"] = len(own["withheld"]) < len(PARTS)
    if not own["published"]:
        own["withheld"] = []


def _notice(state: State, entry: EventEntry) -> None:
    """Put a notice up in place of the one before, or take it down."""
    state["publication"]["notice"] = None if entry.fields.get("down") else entry.seq


def _close(state: State, entry: EventEntry) -> None:
    own = state["publication"]
    if own["closed"] is not None:
        raise Refused("closed", said("This competition is closed already."))
    own["closed"] = {"seq": entry.seq, "at": entry.at, "fingerprint": entry.fields["fingerprint"]}


def _reopen(state: State, entry: EventEntry) -> None:
    own = state["publication"]
    if own["closed"] is None:
        raise Refused("not-closed", said("This competition is not closed."))
    own["closed"] = None
    own["reopened"].append({"seq": entry.seq, "at": entry.at})


def _down(value: Any, name: str) -> bool:
    if value is not True:
        raise Malformed(name, said("leave it out, or say true"))
    return True


_PARTS_OF_IT = {"parts": parts}

KINDS = {
    "publish": Kind(_publish, _PARTS_OF_IT),
    "unpublish": Kind(_unpublish, _PARTS_OF_IT),
    "notice": Kind(_notice, {"down": _down}),
    "close": Kind(
        _close,
        {"fingerprint": _fingerprint, "matches": _count, "open": _count},
        frozenset({"fingerprint"}),
    ),
    "reopen": Kind(_reopen, {}, frozenset({"why"})),
}
