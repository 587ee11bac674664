"""A match at a table, and a device that writes it."""

from __future__ import annotations

import uuid
from typing import Any

from scoring.models import Match, Player
from scoring.pens import do_take_pen
from tests.cast import client_for, make_competition, make_match


class Device:
    """Holds the pen of a new match and writes innings into it."""

    def __init__(self, name: str) -> None:
        players = (Player.objects.enrol("Ada", name), Player.objects.enrol("Bo", name))
        self.match: Match = make_match(*players, competition=make_competition(name), distance=(None, None))
        _, token = do_take_pen(self.match.pk, name)
        self.client = client_for(bearer=token)
        self.url = f"/api/matches/{self.match.pk}/entries/"
        self.seq = 0
        self.write("open", starter=players[0].pk)

    def write(self, kind: str, **fields: Any) -> None:
        """Send one entry; fail where it is not stored."""
        body = {"uuid": str(uuid.uuid4()), "after": self.seq, "kind": kind} | fields
        answer = self.client.post(self.url, body, format="json")
        assert answer.status_code == 201, answer.content
        self.seq += 1

    def inning(self) -> None:
        self.write("inning", run=self.seq % 3)

    def write_up_to(self, seq: int) -> None:
        """Write in lists until the ledger holds `seq` entries."""
        while self.seq < seq:
            size = min(500, seq - self.seq)
            entries = [
                {"uuid": str(uuid.uuid4()), "after": self.seq, "kind": "inning", "run": at % 3}
                for at in range(size)
            ]
            answer = self.client.post(self.url, entries, format="json")
            assert {one["status"] for one in answer.json()["results"]} == {"stored"}
            self.seq += size
