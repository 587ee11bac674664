"""A club in a few lines that answers a browser's calls, and can fail in every way a network does."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, Route

from scoring.rules.match.book import Book
from scoring.rules.match.checks import Refused, check_fresh
from scoring.rules.match.entry import Entry
from scoring.rules.match.play import fold
from tests.scoring.rules.match.desk import Desk

SITE = "http://localhost"
FILES = Path(__file__).parents[2] / "scoring" / "static"


class Club:
    """The ledger of match 1, behind the addresses of the API.

    `down`: nobody answers. `lose`: so many answers to entries are lost on the way back.
    `refuse`: refuses the next list with this code. `pen`: token of the device that holds it.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.down = False
        self.lose = 0
        self.refuse: str | None = None
        self.pen: str | None = None
        self.misdates = False
        self.calls: list[str] = []
        self.lists: list[list[dict[str, Any]]] = []

    def serve(self, page: Page) -> str:
        """Answer a page's calls, files included; return the address of the site."""
        page.route(SITE + "/**", _give_file)
        page.route(SITE + "/api/matches/1/**", self.answer)
        return SITE

    @property
    def seq(self) -> int:
        return len(self.desk.entries)

    def kinds(self) -> list[str]:
        return [entry.kind for entry in self.desk.entries]

    def answer(self, route: Route) -> None:
        request = route.request
        path = request.url.split("/api/matches/1/")[1]
        self.calls.append(f"{request.method} {path}")
        if self.down:
            route.abort()
        elif path == "pen/":
            self._pen(route)
        elif request.method == "POST":
            self._post(route, json.loads(request.post_data or "[]"))
        elif path.startswith("entries/"):
            after = int(path.partition("after=")[2] or 0)
            rows = [entry.to_json() for entry in self.desk.entries[after:]]
            page, rest = rows[:4], rows[4:]  # small pages, so that there are several
            route.fulfill(json={"results": page, "next": "there is more" if rest else None})
        else:
            self._state(route)

    def _state(self, route: Route) -> None:
        tag = f'"1-{self.seq}"'
        if route.request.headers.get("if-none-match") == tag:
            route.fulfill(status=304, headers={"ETag": tag})
        else:
            route.fulfill(json=self.desk.seen, headers={"ETag": tag})

    def _pen(self, route: Route) -> None:
        method = route.request.method
        asked = json.loads(route.request.post_data or "{}")
        if method == "GET":
            route.fulfill(
                json={"held": self.pen is not None, "mine": self._holds(route), "device": "Table 3"}
            )
        elif method == "DELETE":
            self.pen = None
            route.fulfill(status=204)
        elif self.pen is not None and not asked["take_over"] and not self._holds(route):
            route.fulfill(status=409, json={"code": "pen-elsewhere", "reason": "Table 3 holds the pen."})
        else:
            self.pen = f"pen of {asked['device']}"
            route.fulfill(status=201, json={"token": self.pen, "device": asked["device"]})

    def _holds(self, route: Route) -> bool:
        return route.request.headers.get("authorization") == f"Bearer {self.pen}"

    def _post(self, route: Route, sent: list[dict[str, Any]]) -> None:
        self.lists.append(sent)
        refused = self.refuse
        self.refuse = None
        if self.pen is not None and not self._holds(route):
            refused = "pen-elsewhere"
        results = []
        for number, one in enumerate(sent):
            if refused is None:
                results.append(self._take(one, follows=number > 0))
                if results[-1]["status"] == "refused":
                    refused = "follows-refused"
            else:
                results.append(_refused(one["uuid"], refused))
                refused = "follows-refused"
        if self.lose > 0:
            self.lose -= 1
            route.abort()
        else:
            route.fulfill(json={"results": results, "state": self.desk.seen})

    def _take(self, one: dict[str, Any], *, follows: bool) -> dict[str, Any]:
        known = next((entry for entry in self.desk.entries if entry.uuid == one["uuid"]), None)
        if known is not None:
            return _result(one["uuid"], "known", known.seq)
        fields = {
            name: value
            for name, value in one.items()
            if name not in ("uuid", "after", "device_time", "offline", "kind")
        }
        try:
            if not follows:
                check_fresh(one["after"], self.desk.state)
            self.desk.write(one["kind"], **fields)
        except Refused as refusal:
            return _refused(one["uuid"], refusal.code)
        self._rename(one["uuid"])
        return _result(one["uuid"], "stored", self.seq)

    def _rename(self, uuid: str) -> None:
        """Give the latest entry the uuid that the device made."""
        last: Entry = self.desk.entries[-1]
        self.desk.entries[-1] = replace(last, uuid=uuid, misdated=self.misdates)
        if self.misdates:
            self._fold()

    def forget(self, kept: int) -> None:
        """Come back from an old copy that holds the first entries only."""
        del self.desk.entries[kept:]
        self._fold()

    def _fold(self) -> None:
        self.desk.state = fold(self.desk.setup, Book(self.desk.entries))


def _give_file(route: Route) -> None:
    """Give a static file as it lies on the disk, and an empty page for everything else."""
    path = route.request.url.removeprefix(SITE)
    if path.startswith("/static/"):
        script = (FILES / path.removeprefix("/static/")).read_text("utf-8")
        route.fulfill(body=script, content_type="text/javascript")
    else:
        route.fulfill(body="<!doctype html><title>Table 3</title>", content_type="text/html")


def _result(uuid: str, status: str, seq: int) -> dict[str, Any]:
    return {"uuid": uuid, "status": status, "seq": seq, "code": None, "reason": None}


def _refused(uuid: str, code: str) -> dict[str, Any]:
    return {"uuid": uuid, "status": "refused", "seq": None, "code": code, "reason": f"because: {code}"}
