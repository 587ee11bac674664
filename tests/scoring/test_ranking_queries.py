"""How often pages of a ranking ask the database: as often with 100 matches as with 10."""

from __future__ import annotations

import itertools
import uuid

import pytest

from scoring import following, ledger
from scoring.models import Group, HandicapDistance, Player, Stage
from tests import cast
from tests.scoring.pages.writing import ORGANISER
from tests.scoring.test_query_counts import asked, counted

pytestmark = pytest.mark.django_db

PAGES = {
    "competition-standings": "/competitions/{cup}/standings/",
    "competition-standings-group": "/competitions/{cup}/standings/?group={group}",
    "api-competition-standings": "/api/competitions/{cup}/standings/",
    "competition-prizes": "/competitions/{cup}/prizes/",
    "competition-regulations": "/competitions/{cup}/regulations/",
    "competition-lot": "/competitions/{cup}/lots/",
}


def league(number: int) -> tuple[int, int]:
    """Return the ids of a competition of `number` matches, one in five confirmed, and of a group of it."""
    cup = cast.make_competition(
        f"League {number}", regulations={"order": ["match_points", "lot"], "points_scheme": "own-average"}
    )
    stage = Stage.objects.create(competition=cup, name="Groups", kind=Stage.Kind.GROUPS)
    groups = [Group.objects.create(stage=stage, name=name) for name in ("A", "B")]
    players = [Player.objects.enrol("Ada", f"Player {at}") for at in range(5 if number < 11 else 15)]
    HandicapDistance.objects.create(
        club=cup.club, player=players[0], discipline_code="three-cushion", distance=5, points=1, innings=1
    )
    pairs = itertools.islice(itertools.combinations(players, 2), number)
    with following.gathered():
        matches = [
            cast.make_match(*pair, competition=cup, group=groups[at % 2]) for at, pair in enumerate(pairs)
        ]
    for at, match in enumerate(matches[::5]):
        sent = [
            {"kind": "open", "starter": match.entrant_a_id, "decided_by": "lag", "after": 0},
            {"kind": "inning", "run": 5, "after": 1},
            {"kind": "inning", "run": at % 6, "after": 2},
            {"kind": "confirm", "after": 3},
        ]
        named = [one | {"uuid": str(uuid.uuid4())} for one in sent]
        outcomes, _state = ledger.append_list(match.pk, named, ORGANISER)
        assert outcomes[-1].status == "stored"
    return cup.pk, groups[0].pk


def test_pages_of_a_ranking_ask_as_often_with_100_matches_as_with_10():
    client = cast.client_for(cast.make_organiser())
    few, many = league(10), league(100)
    for name, address in PAGES.items():
        counts = [asked(client, address.format(cup=cup, group=group)) for cup, group in (few, many)]
        assert counts[0] == counts[1], name
        counted(name, counts[0])
