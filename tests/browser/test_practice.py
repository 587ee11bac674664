"""Practice at the table: one tap an attempt, on the device first, whatever the network does."""

import uuid

import pytest
from playwright.sync_api import expect

from scoring.models import Attempt, PracticeSession
from scoring.practising import do_change_session
from tests import cast
from tests.scoring.practice.trying import row, send

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"width": 390, "height": 740}


@pytest.fixture
def player(signed_in):
    found = cast.make_player("Quendal", user=cast.make_user("mira"))
    signed_in(found.user)
    return found


@pytest.fixture
def at_table(page, live_server, player):
    """Opens a session on a phone."""
    page.set_viewport_size(PHONE)

    def open_it(**fields):
        session = cast.make_session(player, **fields)
        return read(session)

    def read(session):
        page.goto(f"{live_server.url}/practice/{session.pk}/")
        page.wait_for_selector("#practice[data-ready]")
        return session

    open_it.again = read
    return open_it


def key(page, name):
    return page.get_by_role("button", name=name, exact=True)


def tap(page, name):
    page.wait_for_timeout(420)  # a thumb that trembles writes one attempt
    key(page, name).click()


def tremble(page, name):
    """Tap twice before anything else can happen, however slow the machine."""
    page.wait_for_timeout(420)
    key(page, name).evaluate("button => { button.click(); button.click(); }")


def slot(page, name):
    return page.locator(f'[data-slot="{name}"]').first


def stored():
    return list(Attempt.objects.order_by("order").values_list("outcome", "how"))


def test_attempts_wait_on_the_device_and_reach_the_club_once(page, at_table, complaints, axe):
    session = at_table(goal={"attempts": 20, "made": 8})
    address = "**/attempts/"
    page.route(address, lambda route: route.abort())
    tremble(page, "Made")
    tap(page, "Missed")
    key(page, "short").click()
    expect(slot(page, "said")).to_have_text("Missed, short")
    expect(slot(page, "waiting")).to_have_text("2")
    expect(slot(page, "goal")).to_have_text("goal: 8 made, 7 to go")
    assert axe(page) == []
    at_table.again(session)
    expect(slot(page, "tried")).to_have_text("2")
    assert stored() == []
    # The club hears it, and its first answer is lost on the way back.
    page.unroute(address)
    lost = []

    def lose(route):
        if not lost:
            lost.append(route.fetch())
            route.abort()
        else:
            route.continue_()

    page.route(address, lose)
    tap(page, "Made")
    expect(page.get_by_text("all with the club")).to_be_visible(timeout=15_000)
    assert lost
    assert stored() == [("made", None), ("missed", "short"), ("made", None)]
    assert [one for one in complaints if "ERR_FAILED" not in one] == []


def test_balls_are_placed_attempts_struck_out_and_the_session_ended(page, at_table, player, complaints, axe):
    corner = cast.make_position(player.user, name="Over the corner", family="around-the-table")
    at_table(positions=[{"position": corner.pk, "repetitions": 5, "goal": None}])
    expect(slot(page, "position-name")).to_have_text("Over the corner")
    tap(page, "Made")
    key(page, "Strike out last").click()
    expect(slot(page, "said")).to_have_text("Struck out: made.")
    expect(slot(page, "tried")).to_have_text("0")
    key(page, "Put it back").click()
    expect(slot(page, "position-more")).to_contain_text("here 1 of 5, 1 made")
    key(page, "Place the balls").click()
    page.locator('[data-grip="red"]').focus()
    page.keyboard.press("ArrowUp")
    assert axe(page) == []
    key(page, "Practise from here").click()
    expect(slot(page, "position-name")).to_have_text("Placed by hand")
    tap(page, "Missed")
    key(page, "More").click()
    key(page, "End the session").click()
    expect(page.get_by_text("1 of 2 attempts made.")).to_be_visible()
    first, second = Attempt.objects.order_by("order")
    assert (first.position, first.family_tried, first.told) == (corner, "around-the-table", "blind")
    assert (second.position, second.family_tried) == (None, None)
    assert second.layout["red"][1] == pytest.approx(corner.layout["red"][1] + 0.1)
    assert PracticeSession.objects.get().ended_at is not None
    assert axe(page) == []
    assert complaints == []


def test_contacts_say_whether_it_was_made_and_a_position_is_kept(
    page, live_server, at_table, complaints, axe
):
    at_table()
    key(page, "More").click()
    key(page, "Describe the contacts").click()
    for rail in ("left", "bottom", "right"):
        page.locator(f'[data-rail="{rail}"]').click()
    for ball in ("yellow", "red"):
        page.locator(f'.object-ball[data-ball="{ball}"]').click()
    expect(slot(page, "ruling-head")).to_have_text("Counts: 3 cushions")
    key(page, "Write it").click()
    expect(page.get_by_text("all with the club")).to_be_visible()
    assert Attempt.objects.get().ruling["valid"] is True
    page.goto(f"{live_server.url}/practice/positions/")
    page.wait_for_selector("#position-form[data-ready]")
    page.get_by_label("Name", exact=True).fill("By the left rail")
    grip = page.locator('[data-grip="white"] .grip-reach')
    grip.scroll_into_view_if_needed()
    box = grip.bounding_box()
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(middle[0] - 400, middle[1])
    page.mouse.up()
    expect(slot(page, "board-say")).to_contain_text("outside the noses")
    assert axe(page) == []
    key(page, "Keep it").click()
    expect(page.get_by_role("heading", name="By the left rail")).to_be_visible()
    page.goto(f"{live_server.url}/practice/")
    assert axe(page) == []
    assert complaints == []


def test_what_another_device_did_is_seen_and_its_end_is_asked_about(page, at_table, complaints, axe):
    session = at_table()
    tap(page, "Made")
    expect(page.get_by_text("all with the club")).to_be_visible()
    first = Attempt.objects.get()
    send(session, row(), row(outcome="made"), {"uuid": str(uuid.uuid4()), "void": str(first.uuid)})
    expect(slot(page, "tried")).to_have_text("2", timeout=15_000)
    expect(slot(page, "made")).to_have_text("1")
    # Ended there; a tap here before the page has looked again reaches a club that asks.
    do_change_session(session.pk, ended=True)
    tap(page, "Made")
    said = slot(page, "ended-words")
    expect(said).to_contain_text("ended on another device. What you tapped since stays", timeout=15_000)
    tap(page, "Made")
    expect(said).to_contain_text("The 2 taps since stay on this device")
    assert (len(stored()), axe(page)) == (3, [])
    key(page, "Go on with it").click()
    expect(slot(page, "ended")).to_be_hidden()
    expect(page.get_by_text("all with the club")).to_be_visible()
    expect(slot(page, "tried")).to_have_text("4")
    assert len(stored()) == 5
    # What waits is told on the page of the ended session too, and goes along from there.
    do_change_session(session.pk, ended=True)
    tap(page, "Made")
    expect(said).to_contain_text("What you tapped since stays", timeout=15_000)
    page.reload()
    expect(slot(page, "waits")).to_contain_text("One tap of this device is not among these")
    assert axe(page) == []
    key(page, "Go on with it").click()
    expect(page.get_by_text("all with the club")).to_be_visible()
    expect(slot(page, "tried")).to_have_text("5")
    # Left as it is, what came of it is shown.
    do_change_session(session.pk, ended=True)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(said).to_have_text("This session was ended on another device.", timeout=15_000)
    key(page, "Leave it ended").click()
    expect(page.get_by_text("4 of 5 attempts made.")).to_be_visible()
    expect(slot(page, "waits")).to_be_hidden()
    assert complaints == []
