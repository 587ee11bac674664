"""Every row of the family table, spelled out."""

import pytest

from scoring.rules.disciplines import DISCIPLINES, Discipline
from scoring.rules.families import FAMILIES, FAMILY_PATTERNS, OTHER, family_of
from tests.scoring.rules.spelling import met

THREE = [
    ("ltr12", "bank"),
    ("lll12", "bank"),
    ("ltrb12", "bank"),
    ("ltr1b2", "bank"),
    ("lt1r2", "umbrella"),
    ("lt1rb2", "umbrella"),
    ("l1lt2", "ticky"),
    ("l1ltr2", "ticky"),
    ("l1ll2", "ticky"),
    ("l1tl2", "rail-first"),
    ("l1tr2", "rail-first"),
    ("l1rt2", "rail-first"),
    ("1ltrbl2", "five-and-more"),
    ("1lllll2", "five-and-more"),
    ("1ltr2", "around-the-table"),
    ("1rbl2", "around-the-table"),
    ("1ltrb2", "around-the-table"),
    ("1ltrr2", "around-the-table"),
    ("1tlb2", "short-around"),
    ("1brtl2", "short-around"),
    ("1ltl2", "double-rail"),
    ("1tlt2", "double-rail"),
    ("1ltlr2", "double-rail"),
    ("1lrl2", "cross-table"),
    ("1lrlt2", "cross-table"),
    ("1tbt2", "end-to-end"),
    ("1tbl2", "end-to-end"),
    ("1tbrt2", "end-to-end"),
    ("1tlr2", "short-angle"),
    ("1tlrt2", "short-angle"),
    ("1lrt2", "long-angle"),
    ("1ltb2", "long-angle"),
    ("1lrtb2", "long-angle"),
    ("1llt2", OTHER),
    ("1ltt2", OTHER),
    ("1lrr2", OTHER),
    ("1lt2", OTHER),
    ("1l2", OTHER),
    ("12", OTHER),
    ("l12", OTHER),
    ("l1t2", OTHER),
    ("lt12", OTHER),
    ("1ltr", None),
    ("ltr", None),
    ("", None),
    # Contacts with the first ball after its first are dropped.
    ("1l1t1r2", "around-the-table"),
    ("l11l1t2", "ticky"),
    # What follows the second ball is left out.
    ("1ltr2tttt", "around-the-table"),
    # Ball before rail in a tie, whichever is named first.
    ("l=1tr2", "around-the-table"),
    ("1=ltr2", "around-the-table"),
    ("1ltr=2", OTHER),
    ("1lt2=r", OTHER),
    ("ltr=1b2", "umbrella"),
]

SHORTER = [
    ("12", "direct"),
    ("1l2", "one-rail"),
    ("1lt2", "two-rail"),
    ("1ll2", "two-rail"),
    ("l12", "bank"),
    ("lt12", "bank"),
    ("l1t2", "rail-first"),
    ("l1l2", "rail-first"),
    # The list for three cushions comes first.
    ("l1lt2", "ticky"),
    ("lt1r2", "umbrella"),
    ("1ltr2", "around-the-table"),
    ("1llt2", OTHER),
]


@pytest.mark.parametrize(("sequence", "family"), THREE)
def test_three_cushion(sequence, family):
    assert family_of(DISCIPLINES["three-cushion"], "white", met(sequence)) == family


@pytest.mark.parametrize("code", ["straight-rail", "one-cushion"])
@pytest.mark.parametrize(("sequence", "family"), SHORTER)
def test_fewer_cushions(code, sequence, family):
    assert family_of(DISCIPLINES[code], "white", met(sequence)) == family


def test_every_family_has_words_and_every_pattern_a_family():
    assert {one.family for one in FAMILY_PATTERNS.values()} | {OTHER} == set(FAMILIES)


def test_a_club_can_name_families_without_code():
    data = DISCIPLINES["three-cushion"].to_json() | {"code": "two-cushion", "required_cushions": 2}
    own = Discipline.from_json(data | {"families": ["bank", "two-rail"]})
    assert family_of(own, "white", met("1lt2")) == "two-rail"
    assert family_of(own, "white", met("1ltr2")) == OTHER
    del data["families"]
    assert family_of(Discipline.from_json(data), "white", met("1lt2")) == "two-rail"
