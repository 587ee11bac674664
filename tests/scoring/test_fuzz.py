"""The API against requests drawn from its own schema: whatever is sent, it never breaks.

Two kinds are drawn: bodies that fit the schema, and bodies that are any JSON at all.
"""

from __future__ import annotations

import json
from urllib.parse import urlencode

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis.core import NotSet

from scoring.models import ApiToken, Role
from tests import cast
from tests.scoring.described import OPERATIONS, SCHEMA

# What is found is short enough to read; shrinking it would take minutes.
FEW = settings(
    max_examples=8,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=list(HealthCheck),
)

ANY_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(st.characters(), max_size=20)
    | st.sampled_from(["\x00", "\ud800", 2**63, -1, "x" * 3000, 10**400]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)


@pytest.fixture
def ids(db) -> dict[str, int]:
    """Something of every kind that an address can be about."""
    owner = cast.make_superuser()
    cup, table = cast.make_competition(published=True), cast.make_table()
    # The owner plays too: some fields of a player are for that player alone.
    players = cast.make_player("Quendal", user=owner), cast.make_player("Perrolt")
    match = cast.make_match(*players, competition=cup, table=table)
    token, _key = ApiToken.objects.issue(owner, "tablet")
    # The owner coaches as well: a superuser is an organiser everywhere, and no coach for that.
    Role.objects.create(user=owner, club=match.club, kind=Role.Kind.COACH)
    return {
        "players": match.entrant_a_id,
        "tables": table.pk,
        "competitions": cup.pk,
        "matches": match.pk,
        "tokens": token.pk,
        "positions": cast.make_position(owner).pk,
        "sessions": cast.make_session(players[0]).pk,
    }


@pytest.fixture
def owner(ids):
    """The superuser of `ids`, signed in."""
    client = cast.client_for(ApiToken.objects.get(pk=ids["tokens"]).user)
    client.raise_request_exception = False
    return client


def send(client, operation, ids: dict[str, int], query, body: str | None):
    """Send one request, and undo what it did."""
    kind = operation.path.removeprefix("/api/").partition("/")[0]
    path = operation.path.replace("{id}", str(ids.get(kind, 1)))
    query = urlencode(query, doseq=True, errors="replace") if query else ""
    extra = {} if body is None else {"data": body, "content_type": "application/json"}
    with transaction.atomic():
        answer = client.generic(operation.method.upper(), f"{path}?{query}", **extra)
        transaction.set_rollback(True)
    return answer


@pytest.mark.parametrize("name", sorted(OPERATIONS))
def test_what_fits_the_schema_is_answered(name, ids, owner):
    operation = OPERATIONS[name]

    @FEW
    @given(operation.as_strategy())
    def draw(case):
        body = None if isinstance(case.body, NotSet) else json.dumps(case.body)
        answer = send(owner, operation, ids, case.query, body)
        assert answer.status_code < 500, (case.query, case.body)
        assert answer.status_code not in (401, 403, 405, 415), answer.content

    draw()


@pytest.mark.parametrize("name", sorted(name for name in OPERATIONS if name.split()[0] in ("POST", "PATCH")))
def test_what_fits_nothing_is_refused_with_a_reason(name, ids, owner):
    operation = OPERATIONS[name]
    known = sorted(_names(operation))

    @FEW
    @given(ANY_JSON | st.dictionaries(st.sampled_from(known or ["x"]), ANY_JSON, max_size=6))
    def draw(body):
        answer = send(owner, operation, ids, {}, json.dumps(body))
        assert answer.status_code < 500, body
        if answer.status_code >= 400:
            assert answer.json(), body

    draw()


def _names(operation) -> set[str]:
    """Return the names of all fields that the schema knows in a body of `operation`."""
    found: set[str] = set()

    def walk(part):
        if isinstance(part, dict):
            found.update(part.get("properties", {}))
            for inner in part.values():
                walk(inner)
        elif isinstance(part, list):
            for inner in part:
                walk(inner)

    components = SCHEMA.raw_schema["components"]["schemas"]
    text = json.dumps(operation.definition.raw.get("requestBody", {}))
    for component in components:
        if f'/{component}"' in text:
            walk(components[component])
    return found
