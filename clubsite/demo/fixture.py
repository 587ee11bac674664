"""Reads fixtures/demo-club.json, and spells its short notation out.

Moments in the file are relative to the moment the demo was first set up. In the list
of a match's entries, "2 0 1" are whole innings in turn, "pp-" strokes (p a point, - a
miss); what else is told is an object in the shape of the API, with the codes of players
instead of their ids and contacts as words ("red left top right yellow", "=top" where it is met
at the same instant as the one before).
"""

from __future__ import annotations

import datetime
import json
import uuid
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

PATH = Path(settings.BASE_DIR) / "fixtures" / "demo-club.json"
BALLS = frozenset({"white", "yellow", "red"})
# Seconds from one entry to the next.
PACE = {"inning": 45, "point": 38, "miss": 42, "foul": 42, "timeout": 30}


def read() -> dict[str, Any]:
    """Return the demo club as the file has it."""
    fixture: dict[str, Any] = json.loads(PATH.read_text(encoding="utf-8"))
    return fixture


def named(kind: str, code: Any) -> uuid.UUID:
    """Return the uuid that an object of the demo has in every database."""
    return uuid.uuid5(uuid.NAMESPACE_URL, f"urn:cushion-ledger:demo:{kind}:{code}")


def begins_at(match: Mapping[str, Any], now: datetime.datetime, zone: ZoneInfo) -> datetime.datetime:
    """Return when a match begins; `now` is when the demo was set up, `zone` the club's."""
    if "minutes_ago" in match:
        return now - datetime.timedelta(minutes=match["minutes_ago"])
    if "minutes_ahead" in match:
        return now + datetime.timedelta(minutes=match["minutes_ahead"])
    day = now.astimezone(zone).date() - datetime.timedelta(days=match["days_ago"])
    return datetime.datetime.combine(day, datetime.time.fromisoformat(match["at"]), zone)


def entries_of(
    match: Mapping[str, Any], players: Mapping[str, int], now: datetime.datetime, zone: ZoneInfo
) -> list[dict[str, Any]]:
    """Return the entries of a match as a device sends them, in order.

    `players` holds the ids by code. They are marked as entered offline, because they
    arrive long after they were written.
    """
    told = list(spelt_out(match["entries"]))
    begin = begins_at(match, now, zone)
    moments = _moments(told, begin, now)
    return [
        _with_ids(entry, players)
        | {
            "uuid": str(named("entry", f"{match['code']}:{number}")),
            "after": number,
            "device_time": moment.isoformat(timespec="seconds"),
            "offline": True,
        }
        for number, (entry, moment) in enumerate(zip(told, moments, strict=True))
    ]


def spelt_out(entries: Iterable[Any]) -> Iterator[dict[str, Any]]:
    """Yield one object an entry."""
    for entry in entries:
        if not isinstance(entry, str):
            yield dict(entry)
        elif entry[0] in "p-":
            for sign in entry.replace(" ", ""):
                yield {"kind": {"p": "point", "-": "miss"}[sign]}
        else:
            for run in entry.split():
                yield {"kind": "inning", "run": int(run)}


def _with_ids(entry: Mapping[str, Any], players: Mapping[str, int]) -> dict[str, Any]:
    whole = dict(entry)
    for name in ("starter", "player"):
        if name in whole:
            whole[name] = players[whole[name]]
    if "contacts" in whole:
        whole["contacts"] = [_contact(word) for word in whole["contacts"].split()]
    return whole


def _contact(word: str) -> dict[str, Any]:
    """Read "red" or "=left": what is met at the same instant as the contact before has a sign."""
    name = word.lstrip("=")
    contact: dict[str, Any] = {"ball" if name in BALLS else "rail": name}
    return contact | {"tie": True} if name != word else contact


def _moments(
    told: list[dict[str, Any]], begin: datetime.datetime, now: datetime.datetime
) -> list[datetime.datetime]:
    """Return when each entry was written: at the pace of play, and none in the future."""
    so_far, seconds = 0.0, []
    for entry in told:
        seconds.append(so_far)
        so_far += PACE.get(entry["kind"], 20) + 20 * entry.get("run", 0)
    there_are = (now - begin).total_seconds()
    pace = min(1.0, there_are / so_far) if so_far else 1.0
    return [begin + datetime.timedelta(seconds=round(one * pace)) for one in seconds]
