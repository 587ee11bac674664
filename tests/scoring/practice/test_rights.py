"""Who sees practice: the player, coaches who were agreed to, and nobody else."""

from __future__ import annotations

import pytest
from django.utils import timezone

from scoring.access import Actor, Forbidden, NotVisible
from scoring.coaching import do_agree, do_ask, do_set, do_withdraw
from scoring.forgetting import do_forget
from scoring.models import Assignment, Coaching, Player, PracticePosition, PracticeSession, Role
from scoring.positions import do_ship_positions, library
from scoring.practice_rights import (
    access_session,
    access_sharing,
    coaches_player,
    visible_assignments,
    visible_positions,
    visible_sessions,
)
from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.families import FAMILIES
from scoring.rules.match.checks import Refused
from scoring.rules.words import NAMES_IN_DATA
from tests import cast
from tests.scoring.practice.trying import tried

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira() -> Player:
    return cast.make_player("Quendal", user=cast.make_user("mira"))


@pytest.fixture
def coach():
    return cast.make_role(Role.Kind.COACH, name="coach")


def right_of(user, session: PracticeSession) -> str:
    """Return the furthest right of a user at a session; the list must agree."""
    actor = Actor(user)
    seen = visible_sessions(actor).filter(pk=session.pk).exists()
    try:
        access_session(actor, session, "read")
        access_session(actor, session, "write")
    except NotVisible:
        assert not seen
        return "none"
    except Forbidden:
        assert seen
        return "read"
    assert seen
    return "write"


def test_a_session_is_private_to_its_player_whatever_role_others_hold(mira, coach):
    session = cast.make_session(mira)
    assert right_of(mira.user, session) == "write"
    others = (
        None, cast.make_user(), cast.make_organiser(), cast.make_role(Role.Kind.ADMINISTRATOR),
        cast.make_referee(), cast.make_superuser(), coach, cast.make_player("Vilemeer", user=cast.make_user()).user,
    )  # fmt: skip
    assert {right_of(user, session) for user in others} == {"none"}


def test_a_coach_reads_from_the_agreement_to_the_withdrawal(mira, coach):
    session, other = cast.make_session(mira), cast.make_session(cast.make_player("Vilemeer"))
    asked = do_ask(coach, mira)
    assert right_of(coach, session) == "none"
    do_agree(asked.pk)
    assert (right_of(coach, session), right_of(coach, other)) == ("read", "none")
    assert coaches_player(Actor(coach), mira)
    assert right_of(cast.make_role(Role.Kind.COACH), session) == "none"
    do_withdraw(asked.pk)
    assert right_of(coach, session) == "none"
    assert not coaches_player(Actor(coach), mira)


def test_who_is_no_coach_any_more_sees_nothing(mira, coach):
    session = cast.make_session(mira)
    do_agree(do_ask(coach, mira).pk)
    Role.objects.filter(user=coach).delete()
    assert right_of(coach, session) == "none"


def test_sessions_of_a_player_who_was_merged_stay_with_the_player(mira, coach):
    old = cast.make_player("Quendal")
    session = cast.make_session(old)
    Player.objects.filter(pk=old.pk).update(merged_into=mira)
    do_agree(do_ask(coach, mira).pk)
    assert (right_of(mira.user, session), right_of(coach, session)) == ("write", "read")


def test_asking_and_agreeing_happen_once(mira, coach):
    asked = do_ask(coach, mira)
    with pytest.raises(Refused, match="asked already"):
        do_ask(coach, mira)
    agreed = do_agree(asked.pk).agreed_at
    assert do_agree(asked.pk).agreed_at == agreed
    ended = do_withdraw(asked.pk).withdrawn_at
    assert do_withdraw(asked.pk).withdrawn_at == ended
    with pytest.raises(Refused, match="may ask again"):
        do_agree(asked.pk)
    assert do_ask(coach, mira).pk != asked.pk


def test_what_is_set_needs_an_agreement_and_shows_its_positions(mira, coach):
    asked = do_ask(coach, mira)
    position = cast.make_position(coach)
    plan = [{"position": position.pk, "repetitions": 10, "goal": None}]
    with pytest.raises(Refused, match="has not agreed"):
        do_set(asked.pk, name="For Tuesday", positions=plan)
    do_agree(asked.pk)
    assert not visible_positions(Actor(mira.user)).filter(pk=position.pk).exists()
    assignment = do_set(asked.pk, name="For Tuesday", positions=plan)
    assert visible_positions(Actor(mira.user)).filter(pk=position.pk).exists()
    assert tried(cast.make_session(mira, assignment=assignment), position=position.pk).told == "blind"
    do_withdraw(asked.pk)
    assert list(visible_assignments(Actor(mira.user))) == [assignment]
    assert not visible_assignments(Actor(coach)).exists()
    with pytest.raises(Refused):
        do_set(asked.pk, name="For Friday", positions=plan)


def test_positions_of_one_are_seen_by_the_own_coach_alone(mira, coach):
    own = cast.make_position(mira.user)
    do_agree(do_ask(coach, mira).pk)
    seen = [
        visible_positions(Actor(user)).filter(pk=own.pk).exists()
        for user in (mira.user, coach, None, cast.make_superuser(), cast.make_organiser())
    ]
    assert seen == [True, True, False, False, False]


def test_the_club_is_given_positions_by_its_people(mira):
    for user in (mira.user, cast.make_referee(), cast.make_superuser()):
        access_sharing(Actor(user))
    with pytest.raises(Forbidden):
        access_sharing(Actor(cast.make_user()))


# --- the library ---------------------------------------------------------------


def test_the_library_is_there_once_and_follows_its_file():
    assert PracticePosition.objects.filter(shipped=True).count() == len(library())
    row = PracticePosition.objects.filter(shipped=True).first()
    PracticePosition.objects.filter(pk=row.pk).update(name="Old name")
    assert do_ship_positions() == 0
    assert PracticePosition.objects.get(pk=row.pk).name == row.name


def test_the_library_is_named_in_words_that_translators_find():
    known = {str(name) for name in NAMES_IN_DATA}
    assert {columns["name"] for columns in library()} <= known
    assert len({columns["name"] for columns in library()}) == len(library())
    for columns in library():
        assert columns["discipline_code"] in DISCIPLINES
        assert columns["family"] in FAMILIES
        assert columns["source"]


# --- being forgotten -----------------------------------------------------------


def test_who_is_forgotten_leaves_figures_without_words_and_no_coach(mira, coach):
    user, asked = mira.user, do_ask(coach, mira)
    do_agree(asked.pk)
    kept, given = cast.make_position(user, note="mine"), cast.make_position(user, shared=True)
    do_set(asked.pk, name="For Mira", positions=[{"position": kept.pk, "repetitions": None, "goal": None}])
    session = cast.make_session(mira, name="Mira alone", note="tired", created_by=user)
    tried(session, position=kept.pk, outcome="made")
    do_forget(mira)
    session.refresh_from_db()
    assert (session.name, session.note, session.created_by, session.tried, session.made) == (
        "",
        "",
        None,
        1,
        1,
    )
    assert Coaching.objects.get().withdrawn_at <= timezone.now()
    assert Assignment.objects.get().name == ""
    kept.refresh_from_db()
    given.refresh_from_db()
    assert (kept.name, kept.note, kept.owner) == ("", "", None)
    assert (given.name, given.shared, given.owner) == ("Long way round", True, None)
    assert {right_of(one, session) for one in (user, coach, cast.make_superuser())} == {"none"}
    assert not visible_positions(Actor(user)).filter(pk=kept.pk).exists()
