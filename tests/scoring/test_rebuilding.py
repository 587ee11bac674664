"""What stands in the projections equals what the ledger adds up to, bit for bit."""

import random
import uuid

import pytest
from django.core.management import CommandError, call_command

from scoring import ledger
from scoring.ledger import Author
from scoring.models import ColourProjection, MatchEntry, MatchProjection, StrokeProjection
from scoring.rebuilding import columns_of, do_rebuild
from tests.cast import make_match, make_player

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

ROUND = [{"ball": "red"}, {"rail": "left"}, {"rail": "top"}, {"rail": "right"}]
FORMATS = [
    {"distance": (12, 9), "format": {"equalizing": True, "timeouts": 2}},
    {"distance": (None, None), "format": {"innings_limit": 8, "equalizing": True}},
    {"distance": (4, 4), "format": {"sets_to_win": 2, "equalizing": True}},
]
RANDOM_MATCHES = 12
ENTRIES = 45


def random_entry(dice: random.Random, match, seq: int) -> dict:
    """Return an entry that may or may not fit; most do."""
    target = dice.randint(1, max(seq, 1))
    kinds = {
        "point": {"contacts": [*ROUND[: dice.randint(1, 4)], {"ball": "white"}]}
        if dice.random() < 0.5
        else {},
        "miss": {},
        "foul": {"reason": dice.choice(["touched", "time", "outside"])},
        "inning": {"run": dice.choice([0, 0, 1, 2, 3])},
        "timeout": {},
        "position": {"layout": {"white": [1, 1], "yellow": [2, 3], "red": [3, 6]}},
        "suspend": {},
        "resume": {},
        "annotate": {"target": target, "family": "bank"},
        "void": {"target": target, "why": "slip"},
        "dispute": {"target": target},
        "settle": {"target": target, "decision": "as called"},
        "extra": {},
        "retire": {"player": match.entrant_a_id},
        "confirm": {},
    }
    weights = [8, 8, 2, 8, 1, 2, 1, 2, 3, 4, 1, 1, 1, 0.2, 0.5]
    kind = dice.choices(list(kinds), weights)[0]
    fields = dict(kinds[kind])
    if kind in {"point", "miss", "inning"} and dice.random() < 0.3:
        fields[dice.choice(["instead_of", "before"])] = target
        fields["why"] = "miscounted"
    return {"uuid": str(uuid.UUID(int=dice.getrandbits(128))), "after": seq, "kind": kind} | fields


@pytest.mark.parametrize("seed", range(RANDOM_MATCHES))
def test_random_matches_rebuild_to_the_same_rows(seed):
    dice = random.Random(seed)
    match = make_match(make_player("Astavik"), make_player("Brinsel"), **FORMATS[seed % len(FORMATS)])
    author = Author(organises=True)
    ledger.append(
        match.pk,
        {"uuid": str(uuid.UUID(int=seed + 1)), "after": 0, "kind": "open", "starter": match.entrant_b_id},
        author,
    )
    written = 0
    while written < ENTRIES:
        seq = MatchProjection.objects.get(match=match).seq
        batch = [random_entry(dice, match, seq) for _ in range(dice.choice([1, 1, 1, 4]))]
        ledger.append_list(match.pk, batch, author)
        written += len(batch)
    assert match.entries.count() > 5
    before = columns_of(match)
    assert do_rebuild(match.pk) == []
    assert columns_of(match) == before


@pytest.fixture
def played():
    match = make_match()
    for after, fields in enumerate(
        [{"kind": "open", "starter": match.entrant_a_id}, {"kind": "point"}, {"kind": "miss"}]
    ):
        ledger.append(match.pk, {"uuid": str(uuid.uuid4()), "after": after} | fields, Author())
    return match


def test_the_command_mends_what_was_changed_by_hand_and_says_so(played, capsys):
    right = columns_of(played)
    MatchProjection.objects.filter(match=played).update(seq=99)
    ColourProjection.objects.filter(match=played, colour="white").update(points=7)
    StrokeProjection.objects.filter(match=played, place=2).delete()
    with pytest.raises(CommandError):
        call_command("rebuild_projections")
    said = capsys.readouterr()
    assert [line.split(": ")[1] for line in said.err.splitlines()] == [
        "match rows differed",
        "colours rows differed",
        "strokes rows differed",
    ]
    assert columns_of(played) == right
    call_command("rebuild_projections", str(played.pk))
    assert "1 matches rebuilt, 0 differences" in capsys.readouterr().out


def test_the_command_finds_an_entry_that_was_changed(played, capsys):
    MatchEntry.objects.filter(match=played, seq=2).update(kind="miss")
    with pytest.raises(CommandError):
        call_command("rebuild_projections")
    assert "entry 2 is not the one that was written" in capsys.readouterr().err


def test_the_command_names_a_match_that_is_not_there():
    with pytest.raises(CommandError, match="no match 404"):
        call_command("rebuild_projections", "404")
