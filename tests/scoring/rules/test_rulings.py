"""The validator, case by case, and what must hold of any sequence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.contacts import RAILS, Contact
from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.families import family_of
from scoring.rules.rulesets import RULE_SETS
from scoring.rules.rulings import rule
from tests.scoring.rules.spelling import met

THREE = DISCIPLINES["three-cushion"]
WORLD = RULE_SETS["world"]


def judged(sequence, discipline=THREE, rule_set=WORLD, **circumstances):
    return rule(discipline, "white", met(sequence), rule_set=rule_set, **circumstances)


@pytest.mark.parametrize(
    ("sequence", "valid", "cushions", "reason"),
    [
        ("1ltr2", True, 3, "Counts: 3 cushions"),
        ("1ltrbl2", True, 5, "Counts: 5 cushions"),
        ("1lll2", True, 3, "Counts: 3 cushions"),
        ("1l1t1r12", True, 3, "Counts: 3 cushions"),
        ("12", False, 0, "no cushion"),
        ("1l2", False, 1, "one cushion"),
        ("l1t2", False, 2, "two cushions"),
        ("1lt2r", False, 2, "two cushions"),
        ("1ltr", False, 3, "the second ball was missed"),
        ("ltr", False, 3, "no ball was met"),
        ("", False, 0, "no ball was met"),
        # A cushion at a tie with the second ball is not before it, in either order.
        ("1ltr=2", False, 2, "two cushions"),
        ("1lt2=r", False, 2, "two cushions"),
        ("1ltrb=2", True, 3, "Counts: 3 cushions"),
        # A tie over several contacts: both rails of a corner with the ball.
        ("1ltr=b=2", False, 2, "two cushions"),
        ("1ltr=2=b", False, 2, "two cushions"),
        ("1lt2=r=b", False, 2, "two cushions"),
        # Two rails of a corner at once are two impacts.
        ("1lt=r2", True, 3, "Counts: 3 cushions"),
        # A tie with the first ball does no harm.
        ("l=1tr2", True, 3, "Counts: 3 cushions"),
        ("1=ltr2", True, 3, "Counts: 3 cushions"),
        # Meeting the first ball again at the instant of a cushion changes nothing.
        ("1lt1=r2", True, 3, "Counts: 3 cushions"),
        # Both object balls at once, after three cushions.
        ("ltr1=2", True, 3, "Counts: 3 cushions"),
        ("lt1=2=r", False, 2, "two cushions"),
    ],
)
def test_the_count(sequence, valid, cushions, reason):
    ruling = judged(sequence)
    assert (ruling.valid, ruling.cushions, str(ruling.reason)) == (valid, cushions, reason)
    assert ruling.required == 3
    assert ruling.foul is None


@pytest.mark.parametrize(
    ("sequence", "valid", "reason"),
    [
        ("1ltr2", True, "Counts: 3 cushions"),
        ("2ltr1", False, "the red must be met first"),
        ("l1tr2", False, "the red must be met directly, before any cushion"),
        ("l2tr1", False, "the red must be met first"),
        ("1=2ltr", False, "the red must be met first"),
        ("l=1tr2", True, "Counts: 3 cushions"),
        ("1lt2", False, "two cushions"),
        ("2", False, "the red must be met first"),
        ("ltr", False, "no ball was met"),
    ],
)
def test_the_opening_stroke(sequence, valid, reason):
    ruling = judged(sequence, opening=True)
    assert (ruling.valid, str(ruling.reason)) == (valid, reason)
    # Away from the opening the order of the balls is free.
    assert judged("2ltr1").valid


def test_a_cushion_may_come_first_where_the_rule_set_allows_it():
    national = RULE_SETS["national-cushion-first"]
    assert judged("l1tr2", rule_set=national, opening=True).valid
    assert not judged("l2tr1", rule_set=national, opening=True).valid


def test_a_cue_ball_against_a_rail():
    world = judged("l1trb2", touching_rail="left")
    assert (world.valid, world.foul) == (False, "ball-in-contact")
    assert judged("t1lrb2", touching_rail="left").valid
    # The first contact is the ball where both come at one instant.
    assert judged("l=1trb2", touching_rail="left").valid
    # In a corner either rail is the one lain against, in either order.
    assert not judged("t=l1rb2", touching_rail="left").valid
    assert not judged("t1lrb2", touching_rail=["left", "top"]).valid

    us = RULE_SETS["us-reading"]
    short = judged("l1tr2", touching_rail="left", rule_set=us)
    assert (short.valid, short.cushions, str(short.reason), short.foul) == (False, 2, "two cushions", None)
    long = judged("l1trb2", touching_rail="left", rule_set=us)
    assert (long.valid, long.cushions, long.family) == (True, 3, "short-around")
    # Only the first contact goes uncounted.
    assert judged("ltl1r2", touching_rail="left", rule_set=us).cushions == 3
    assert judged("l=t1rb2", touching_rail="left", rule_set=us).cushions == 3


def test_a_cue_ball_against_a_ball():
    ruling = judged("1ltr2", touching_ball="red")
    assert (ruling.valid, ruling.foul) == (False, "ball-in-contact")
    assert judged("2ltr1", touching_ball="red").valid
    assert judged("l1tr2", touching_ball="red").valid
    assert not judged("2ltr1", touching_ball=["red", "yellow"]).valid


@pytest.mark.parametrize("ball", ["white", "yellow", "red"])
def test_a_ball_off_the_table(ball):
    ruling = judged("1ltr2", off_table=[ball])
    assert (ruling.valid, ruling.foul, ruling.cushions) == (False, "outside", 3)
    assert str(ruling.reason) == "a ball left the table"


def test_other_disciplines():
    one, straight = DISCIPLINES["one-cushion"], DISCIPLINES["straight-rail"]
    assert str(judged("1l2", one).reason) == "Counts: one cushion"
    assert str(judged("1lt2", one).reason) == "Counts: two cushions"
    assert not judged("1l=2", one).valid
    assert str(judged("12", straight).reason) == "Counts"
    assert not judged("2", straight).valid


def test_the_answer_as_json():
    answer = judged("1ltr2").to_json(lambda text: f"<{text}>")
    assert set(answer) == {"valid", "cushions", "required", "reason", "rule", "family", "foul"}
    assert (answer["valid"], answer["cushions"], answer["required"]) == (True, 3, 3)
    assert "USBA three-cushion rules" in answer["rule"]
    assert answer["reason"] == "<Counts: 3 cushions>"


CONTACTS = st.lists(
    st.builds(
        lambda name, tie: Contact(
            ball=name if name not in RAILS else None, rail=name if name in RAILS else None, tie=tie
        ),
        st.sampled_from([*RAILS, *RAILS, "red", "yellow"]),
        st.sampled_from([False, False, False, True]),
    ),
    max_size=12,
).map(lambda some: [Contact(some[0].ball, some[0].rail), *some[1:]] if some else some)
CIRCUMSTANCES = st.fixed_dictionaries(
    {
        "discipline": st.sampled_from(list(DISCIPLINES.values())),
        "rule_set": st.sampled_from(list(RULE_SETS.values())),
        "touching_rail": st.none() | st.sampled_from(RAILS),
        "touching_ball": st.none() | st.sampled_from(["red", "yellow"]),
        "off_table": st.sampled_from([(), (), ("red",)]),
    }
)
# The four images of a table: as it is, mirrored left to right, bottom to top, and turned.
SIDEWAYS = {"left": "right", "right": "left"}
UPRIGHT = {"top": "bottom", "bottom": "top"}
IMAGES = [{}, SIDEWAYS, UPRIGHT, SIDEWAYS | UPRIGHT]
SWAP = {"red": "yellow", "yellow": "red"}


def answer(contacts, circumstances, opening=False):
    return rule(cue_ball="white", contacts=contacts, opening=opening, **circumstances).to_json()


@given(CONTACTS, CIRCUMSTANCES, st.sampled_from(IMAGES), st.booleans())
def test_mirror_images_are_ruled_alike(contacts, circumstances, image, opening):
    mirrored = [Contact(one.ball, image.get(one.rail, one.rail), one.tie) for one in contacts]
    rail = circumstances["touching_rail"]
    moved = circumstances | {"touching_rail": image.get(rail, rail)}
    assert answer(mirrored, moved, opening) == answer(contacts, circumstances, opening)


@given(CONTACTS, CIRCUMSTANCES)
def test_swapped_object_balls_are_ruled_alike_away_from_the_opening(contacts, circumstances):
    swapped = [Contact(SWAP.get(one.ball, one.ball), one.rail, one.tie) for one in contacts]
    ball = circumstances["touching_ball"]
    moved = circumstances | {"touching_ball": SWAP.get(ball, ball)}
    assert answer(swapped, moved) == answer(contacts, circumstances)
    assert family_of(THREE, "white", swapped) == family_of(THREE, "white", contacts)


@given(CONTACTS, CIRCUMSTANCES, st.booleans(), st.data())
def test_meeting_the_first_ball_again_changes_nothing(contacts, circumstances, opening, data):
    balls = [place for place, one in enumerate(contacts) if one.ball]
    if not balls:
        assert answer(contacts, circumstances)["family"] is None
        return
    place = data.draw(st.integers(balls[0] + 1, len(contacts)))
    # Between two contacts of one instant the new one is of that instant too.
    tie = place < len(contacts) and contacts[place].tie
    more = [*contacts[:place], Contact(ball=contacts[balls[0]].ball, tie=tie), *contacts[place:]]
    assert answer(more, circumstances, opening) == answer(contacts, circumstances, opening)


@given(CONTACTS, CIRCUMSTANCES, st.booleans(), st.randoms(use_true_random=False))
def test_the_order_within_an_instant_changes_no_count(contacts, circumstances, opening, random):
    groups = []
    for one in contacts:
        if one.tie:
            groups[-1].append(one)
        else:
            groups.append([one])
    shuffled = []
    for group in groups:
        random.shuffle(group)
        shuffled += [Contact(one.ball, one.rail, place > 0) for place, one in enumerate(group)]
    one, two = answer(contacts, circumstances, opening), answer(shuffled, circumstances, opening)
    # The order of two rails at one instant can name another family, never another count.
    assert {**one, "family": None} == {**two, "family": None}


@given(CONTACTS, CIRCUMSTANCES, CONTACTS)
def test_what_follows_the_second_ball_is_ignored(contacts, circumstances, later):
    ruling = answer(contacts, circumstances)
    if ruling["family"] is not None:
        later = [Contact(one.ball, one.rail, one.tie and place > 0) for place, one in enumerate(later)]
        assert answer([*contacts, *later], circumstances) == ruling


@given(CONTACTS, CIRCUMSTANCES)
def test_a_point_has_what_it_needs(contacts, circumstances):
    ruling = answer(contacts, circumstances)
    if ruling["valid"]:
        assert ruling["cushions"] >= ruling["required"]
        assert {one.ball for one in contacts if one.ball} == {"red", "yellow"}
        assert ruling["family"] is not None
        assert ruling["foul"] is None
