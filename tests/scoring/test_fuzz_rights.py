"""Requests drawn from the schema, sent by nobody, a referee and an organiser.

Whoever sends them: no call breaks, every answer has the shape the schema promises, what
is refused says why and writes nothing, and only what may be written is written.
"""

from __future__ import annotations

import json
import re
from urllib.parse import urlencode

import pytest
import requests
from django.db import connection, transaction
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.core import NotSet
from schemathesis.core.transport import Response

from scoring import ledger
from tests import cast
from tests.scoring.described import OPERATIONS
from tests.scoring.racing import an_inning

ACTORS = ("nobody", "referee", "organiser")
FEW = settings(
    max_examples=5,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
# A refused entry is kept, with its reason: a quarrel can be looked up.
KEPT = {"scoring_refusedentry"}
# What was read once is remembered: what is worked out of the ledger, and nothing that anybody said.
REMEMBERED = {"analytics_packedmatch", "analytics_doubt", "analytics_scanned"}
WRITTEN = re.compile(r'^\s*(?:INSERT(?: OR \w+)? INTO|UPDATE|DELETE FROM)\s+"?(\w+)"?', re.IGNORECASE)


@pytest.fixture
def world(db):
    """Something of every kind, a match under way, and a client for each actor."""
    organiser, referee = cast.make_organiser(), cast.make_referee()
    cup, table = cast.make_competition(published=True), cast.make_table()
    match = cast.make_match(competition=cup, table=table)
    opened = an_inning("opening", 0) | {"kind": "open", "starter": match.entrant_a_id}
    del opened["run"]
    for sent in (opened, an_inning("first", 1)):
        assert ledger.append(match.pk, sent, ledger.Author())[0].status == "stored"
    ids = {"players": match.entrant_a_id, "tables": table.pk, "competitions": cup.pk, "matches": match.pk}
    users = {"nobody": None, "referee": referee, "organiser": organiser}
    clients = {name: cast.client_for(user) for name, user in users.items()}
    for client in clients.values():
        client.raise_request_exception = False
    return ids, clients


class Watch:
    """The tables that were written while it looked."""

    def __init__(self) -> None:
        self.tables: set[str] = set()

    def __call__(self, execute, sql, params, many, context):
        found = WRITTEN.match(sql)
        if found:
            self.tables.add(found.group(1))
        return execute(sql, params, many, context)


def send(client, operation, ids, query, body):
    """Send one request and undo what it did; return the answer and the tables it wrote."""
    kind = operation.path.removeprefix("/api/").partition("/")[0]
    path = operation.path.replace("{id}", str(ids.get(kind, 1)))
    query = urlencode(query, doseq=True, errors="replace") if query else ""
    extra = {} if body is None else {"data": body, "content_type": "application/json"}
    watch = Watch()
    with transaction.atomic(), connection.execute_wrapper(watch):
        answer = client.generic(operation.method.upper(), f"{path}?{query}", **extra)
        transaction.set_rollback(True)
    return answer, watch.tables


def has_the_shape(operation, answer) -> None:
    """Check an answer against what the schema says of its status."""
    operation.validate_response(
        Response(
            status_code=answer.status_code,
            headers={name.lower(): [value] for name, value in answer.items()},
            content=answer.content,
            request=requests.Request(operation.method, "http://testserver/").prepare(),
            elapsed=0.0,
            verify=False,
        )
    )


@pytest.mark.parametrize("name", sorted(OPERATIONS))
def test_whoever_sends_it_the_answer_has_its_shape_and_a_refusal_writes_nothing(name, world):
    operation, (ids, clients) = OPERATIONS[name], world
    reads = name.startswith("GET ")

    @FEW
    @given(operation.as_strategy())
    def draw(case):
        body = None if isinstance(case.body, NotSet) else json.dumps(case.body)
        for actor in ACTORS:
            answer, written = send(clients[actor], operation, ids, case.query, body)
            told = (actor, answer.status_code, case.query, case.body)
            assert answer.status_code < 500, told
            has_the_shape(operation, answer)
            if answer.status_code >= 400:
                assert answer.json(), told
                assert written <= KEPT, told
            elif reads or actor == "nobody":
                assert written <= REMEMBERED, told

    draw()
