"""The pages of practice: begin, try, end, look back; positions; coaches and pupils."""

import json
import uuid

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from scoring.coaching import do_agree, do_ask, do_set, do_withdraw
from scoring.models import Assignment, Attempt, Coaching, PracticePosition, PracticeSession, Role
from scoring.pages.practice_results import goal_words, share_words, wilson
from scoring.practising import do_change_session
from tests import cast
from tests.scoring.pages.writing import opened, write

LAYOUT = {"white": [0.7, 1.1], "yellow": [3.0, 1.9], "red": [1.3, 3.6]}


@pytest.fixture
def player(db):
    return cast.make_player("Quendal", user=cast.make_user("mira"))


@pytest.fixture
def mira(client, player):
    client.force_login(player.user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def read(client, path, **query):
    answer = client.get(path, query)
    assert answer.status_code == 200
    return answer.content.decode()


def try_it(client, session, outcome, **fields):
    sent = {"uuid": uuid.uuid4(), "outcome": outcome, "layout": json.dumps(LAYOUT), "cue_ball": "white"}
    return client.post(f"/practice/{session.pk}/attempts/", sent | fields, follow=True)


def data_of(client, session, **query):
    """What the page hands its script."""
    said = read(client, f"/practice/{session.pk}/", **query)
    return json.loads(said.split('id="practice-data" type="application/json">')[1].split("</script>")[0])


# --- numbers -----------------------------------------------------------------


def test_wilson_is_the_root_of_the_score_equation():
    """Recomputed: the interval's ends are where the distance to the share is z standard deviations."""
    for made, tried in ((33, 80), (0, 20), (20, 20), (7, 25)):
        for end in wilson(made, tried, 1.645):
            gap = (made / tried - end) ** 2
            assert gap == pytest.approx(1.645**2 * end * (1 - end) / tried, abs=1e-12)


def test_under_twenty_attempts_only_the_counts_are_told():
    assert share_words(12, 19) == "Counts only"
    assert share_words(33, 80) == "likely between 33 and 50 in 100"


@pytest.mark.parametrize(
    ("made", "tried", "said"),
    [
        (8, 12, "goal of 8 reached"),
        (3, 12, "goal: 8 made, 5 to go"),
        (3, 16, "goal: 8 made; out of reach this time"),
    ],
)
def test_how_a_session_stands_to_its_goal(made, tried, said):
    assert goal_words({"attempts": 20, "made": 8}, tried, made) == said


# --- a session ---------------------------------------------------------------


def test_a_session_is_begun_from_positions_with_a_goal(mira, player):
    position = cast.make_position(player.user)
    asked = {"discipline": "three-cushion", "attempts": 20, "made": 8, "positions": [position.pk]}
    answer = mira.post("/practice/", asked | {"repetitions": 10})
    session = PracticeSession.objects.get()
    assert answer["Location"] == f"/practice/{session.pk}/"
    assert session.goal == {"attempts": 20, "made": 8}
    assert session.positions == [{"position": position.pk, "repetitions": 10, "goal": None}]


def test_a_goal_out_of_reach_is_to_be_mended(mira):
    said = mira.post("/practice/", {"discipline": "three-cushion", "attempts": 5, "made": 8})
    assert "No more points than attempts." in said.content.decode()
    assert not PracticeSession.objects.exists()


def test_attempts_are_written_without_a_script_and_read_back(mira, player):
    session = cast.make_session(player)
    try_it(mira, session, "made")
    page = try_it(mira, session, "missed").content.decode()
    assert [one.outcome for one in Attempt.objects.order_by("order")] == ["made", "missed"]
    assert "made, missed" in page
    without_script = page.split("<noscript>")[1].split("</noscript>")[0]
    assert 'value="end"' in without_script


def test_the_last_attempt_is_struck_out_and_put_back_without_a_script(mira, player):
    session, position = cast.make_session(player), cast.make_position(player.user)

    def press(page):
        form = page.split("<noscript>")[1].split("</form>")[0]
        sent = {name: form.split(f'name="{name}" value="')[1].split('"')[0] for name in ("uuid", "void")}
        return mira.post(f"/practice/{session.pk}/attempts/", sent, follow=True).content.decode()

    def ten(page):
        drawn = page.split('class="ten"')[1].split("</svg>")[0]
        return drawn.count("ten-made"), drawn.count("ten-missed")

    try_it(mira, session, "made")
    page = try_it(mira, session, "missed", position=position.pk).content.decode()
    assert f'name="position" value="{position.pk}"' in page
    assert ten(page) == (1, 1)
    assert "Last: missed." in page
    page = press(page)
    assert ten(page) == (1, 0)
    assert "Struck out: missed." in page
    page = press(page)
    assert ten(page) == (1, 1)
    session.refresh_from_db()
    assert (session.tried, session.made) == (2, 1)


def test_the_same_form_twice_writes_one_attempt(mira, player):
    session, same = cast.make_session(player), uuid.uuid4()
    try_it(mira, session, "made", uuid=same)
    try_it(mira, session, "made", uuid=same)
    assert Attempt.objects.count() == 1


def test_what_cannot_be_written_is_said(mira, player):
    session = cast.make_session(player)
    assert "Not written" in try_it(mira, session, "perhaps").content.decode()
    assert "Not written" in try_it(mira, session, "made", layout="{").content.decode()
    assert not Attempt.objects.exists()


def test_an_ended_session_shows_what_came_of_it_and_can_go_on(mira, player):
    session = cast.make_session(player, goal={"attempts": 3, "made": 1})
    position = cast.make_position(player.user)
    for outcome in ("made", "missed"):
        try_it(mira, session, outcome, position=position.pk)
    page = mira.post(f"/practice/{session.pk}/", {"act": "end"}, follow=True).content.decode()
    assert "1 of 2 attempts made. Counts only. Goal of 1 reached." in page
    assert position.name in page
    assert "Not written: The session was ended before." in try_it(mira, session, "made").content.decode()
    assert Attempt.objects.count() == 2
    mira.post(f"/practice/{session.pk}/", {"act": "go-on"})
    assert PracticeSession.objects.get().ended_at is None


def test_a_session_is_shut_to_others(client, player):
    session = cast.make_session(player)
    client.force_login(cast.make_superuser(), backend="django.contrib.auth.backends.ModelBackend")
    assert client.get(f"/practice/{session.pk}/").status_code == 404
    assert try_it(client, session, "made").status_code == 404


def test_the_table_begins_where_the_address_says(mira, player):
    session = cast.make_session(player)
    position = cast.make_position(player.user, name="Over the corner")
    data = data_of(mira, session, position=position.pk)
    assert data["current"]["position"] == position.pk
    assert data["current"]["asked"] is True


def test_a_stroke_of_a_match_is_tried_again_from_where_the_balls_lay(mira, player):
    match = opened(cast.make_match(player, cast.make_player("Vilemeer")))
    write(match, "position", layout=LAYOUT, cue_ball="white")
    write(match, "miss")
    asked = {"match": match.pk, "place": match.stroke_projections.get().place}
    assert "inning 1, where the balls lay" in read(mira, "/practice/", **asked)
    session = cast.make_session(player)
    current = data_of(mira, session, **asked)["current"]
    assert (current["layout"], current["from_match"], current["from_place"]) == (LAYOUT, *asked.values())
    assert data_of(mira, session, match=match.pk, place=999)["current"]["position"] is None


def test_somebody_without_a_player_is_told_what_is_missing(client, db):
    client.force_login(cast.make_user(), backend="django.contrib.auth.backends.ModelBackend")
    assert "not linked to a player yet" in read(client, "/practice/")


# --- positions ---------------------------------------------------------------


def placed(**fields):
    balls = {f"{ball}_{axis}": LAYOUT[ball][at] for ball in LAYOUT for at, axis in enumerate("xy")}
    return balls | {"cue_ball": "yellow", "name": "Long way", "discipline": "three-cushion"} | fields


def test_a_position_is_kept_and_shared(mira, player):
    mira.post("/practice/positions/", placed(white_x="0,75"))
    kept = PracticePosition.objects.get(owner=player.user)
    assert (kept.cue_ball, kept.layout["white"], kept.shared) == ("yellow", [0.75, 1.1], False)
    mira.post(f"/practice/positions/{kept.pk}/share/", {"shared": "1"})
    kept.refresh_from_db()
    assert kept.shared


def test_a_position_that_cannot_lie_so_says_why_and_keeps_what_was_typed(mira, player):
    x, y = LAYOUT["white"]
    shown = mira.post("/practice/positions/", placed(red_x=x, red_y=y + 0.1)).content.decode()
    assert "Red overlaps White; move it away." in shown
    assert f'value="{y + 0.1:g}"' in shown
    assert not PracticePosition.objects.filter(owner=player.user).exists()


def test_balls_outside_are_to_be_mended(mira, player):
    said = mira.post("/practice/positions/", placed(red_x="9"))
    assert "to be mended" in said.content.decode()
    assert not PracticePosition.objects.filter(owner=player.user).exists()


# --- coaches -----------------------------------------------------------------


@pytest.fixture
def coach(db):
    return cast.make_role(Role.Kind.COACH, name="coach")


@pytest.fixture
def at_the_side(coach):
    client = Client()
    client.force_login(coach, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_a_coach_asks_and_the_player_agrees_and_withdraws(mira, player, at_the_side):
    at_the_side.post("/practice/coaching/", {"player": player.pk})
    coaching = Coaching.objects.get()
    pupil = f"/practice/pupils/{player.pk}/"
    assert at_the_side.get(pupil).status_code == 404
    assert "asks to see your practice" in read(mira, "/practice/")
    mira.post(f"/practice/coaching/{coaching.pk}/", {"act": "agree"})
    assert at_the_side.get(pupil).status_code == 200
    mira.post(f"/practice/coaching/{coaching.pk}/", {"act": "withdraw"})
    assert at_the_side.get(pupil).status_code == 404


def test_what_a_coach_sets_is_begun_by_the_pupil(mira, player, coach, at_the_side):
    do_agree(do_ask(coach, player).pk)
    position = cast.make_position(coach, name="Over the corner", shared=True)
    task = {"name": "For Friday", "positions": [position.pk], "repetitions": 10, "made": 4}
    at_the_side.post(f"/practice/pupils/{player.pk}/", task)
    assignment = Assignment.objects.get()
    assert assignment.goal == {"attempts": 10, "made": 4}
    assert "Over the corner, 10 times" in read(mira, "/practice/")
    mira.post("/practice/", {"assignment": assignment.pk})
    session = PracticeSession.objects.get()
    assert (session.assignment, session.goal) == (assignment, assignment.goal)
    try_it(mira, session, "made", position=position.pk)
    said = read(at_the_side, f"/practice/pupils/{player.pk}/")
    assert "Over the corner" in said
    assert "1 of 1" in said


def test_a_number_that_no_pupil_has_is_not_found(coach, at_the_side):
    assert at_the_side.get(f"/practice/pupils/{10**20}/").status_code == 404


def test_a_coach_reads_a_session_and_never_writes_it(player, coach, at_the_side):
    coaching = do_agree(do_ask(coach, player).pk)
    session = cast.make_session(player)
    do_change_session(session.pk, name="Alone")
    assert "Nothing was tried" in read(at_the_side, f"/practice/{session.pk}/")
    assert at_the_side.post(f"/practice/{session.pk}/", {"act": "end"}).status_code == 403
    do_withdraw(coaching.pk)
    assert at_the_side.get(f"/practice/{session.pk}/").status_code == 404


def test_lists_ask_the_database_as_often_however_long_they_are(mira, player, coach, at_the_side):
    coaching = do_agree(do_ask(coach, player).pk)
    addresses = (
        (mira, "/practice/"),
        (mira, "/practice/positions/"),
        (at_the_side, f"/practice/pupils/{player.pk}/"),
    )

    def asked():
        counts = []
        for client, address in addresses:
            with CaptureQueriesContext(connection) as seen:
                read(client, address)
            counts.append(len(seen))
        return counts

    def grow():
        position = cast.make_position(player.user)
        plan = [{"position": position.pk, "repetitions": 5, "goal": None}]
        task = do_set(coaching.pk, name="For Friday", positions=plan)
        session = cast.make_session(player, positions=plan, assignment=task, table=cast.make_table())
        try_it(mira, session, "made", position=position.pk)

    grow()
    before = asked()
    grow()
    grow()
    assert asked() == before
