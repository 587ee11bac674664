"""A weekend in a browser: 24 players on six tables, groups and knock-out, and a visitor's phone beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from scoring.linking import do_make_link
from scoring.models import Match, Player, PlayTable
from scoring.stages import StageNow, read_stages
from tests.browser.pages import ScoringPage
from tests.cast import make_competition, make_organiser, make_player, make_table
from tests.scoring.event.league import FAMILIES
from tests.scoring.event.playing import result
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db(transaction=True)
NAMES = [*(name for four in FAMILIES for name in four), "Hillebrak", "Isenvoort", "Jarnsund", "Kessivar"]


class Weekend:
    """The desk of the organiser, the phone of a visitor, and the play, most of it straight into the ledger."""

    def __init__(self, desk: Page, phone: Page, base: str, axe: Callable[[Page], list[str]]) -> None:
        self.desk, self.phone, self.base, self.axe = desk, phone, base, axe
        self.cup = make_competition("Autumn Weekend", format={"distance": [5, 5], "equalizing": True})
        self.tables = [make_table(f"Table {at}", number=at) for at in range(1, 7)]
        self.players = [make_player(name, consent="full", published=True) for name in NAMES]

    def at(self, part: str, query: str = "") -> str:
        return f"{self.base}/competitions/{self.cup.pk}/{part}/{query}"

    def sees(self, part: str, *words: str) -> None:
        """The visitor's phone shows a part, nothing of it wider than the phone."""
        self.phone.goto(self.at(part))
        for one in words:
            expect(self.phone.get_by_text(one).filter(visible=True).first).to_be_visible()
        assert self.phone.evaluate("document.documentElement.scrollWidth") == 390, part
        assert self.axe(self.phone) == [], part

    def sees_nothing_of(self, part: str) -> None:
        answer = self.phone.goto(self.at(part))
        assert answer is not None
        assert answer.status == 404, part

    def row_of(self, player: Player) -> Locator:
        """The row of a player in the standings on the phone."""
        self.phone.goto(self.at("standings"))
        return self.phone.locator("table.standings tbody tr").filter(has_text=player.surname).first

    def publishes(self, *parts: str) -> None:
        self.desk.goto(self.at("publish"))
        for box in self.desk.get_by_role("checkbox").all():
            box.set_checked(box.get_attribute("value") in parts)
        self.desk.get_by_role("button", name="Publish").first.click()
        expect(self.desk.get_by_role("heading", name="Autumn Weekend")).to_be_visible()

    def stage(self, kind: str) -> StageNow:
        return next(one for one in read_stages(self.cup) if one.kind == kind)

    def planned(self) -> Iterator[Match]:
        yield from Match.objects.filter(competition=self.cup, projection__status="planned").order_by("pk")

    def tie(self, number: int) -> Match:
        """The match that stands in a place of the bracket now."""
        match = self.stage("knockout").fixtures[number - 1].match
        assert match is not None
        return match

    def plays_out(self, ties: range) -> None:
        """The better seed, who stands first, wins each of these matches."""
        for number in ties:
            if self.tie(number).projection.status == "planned":
                result(self.tie(number), self.tie(number).entrant_a_id)

    # The steps of the weekend

    def enters_everybody(self) -> None:
        desk = self.desk
        desk.goto(self.at("entrants"))
        for one in self.players:
            desk.get_by_label(one.full_name, exact=True).check()
        desk.get_by_role("button", name="Enter them").click()
        expect(desk.locator(".entrant-table tbody tr")).to_have_count(24)
        assert self.axe(desk) == []

    def draws(self, kind: str, way: str, said: str) -> None:
        """Make a stage if there is none, look at a draw, and make it."""
        desk = self.desk
        desk.get_by_label(way).check()
        desk.get_by_label("Seed", exact=True).fill("31415")
        if kind == "groups":
            desk.get_by_label("Players in a group").fill("3")
        desk.get_by_role("button", name="Show what it would be").click()
        expect(desk.get_by_text(said).first).to_be_visible()
        assert self.axe(desk) == []
        desk.get_by_role("button", name="Draw it and make the matches").click()
        desk.wait_for_url(f"**/{'groups' if kind == 'groups' else 'bracket'}/**")
        assert self.axe(desk) == []

    def makes_stage(self, label: str) -> None:
        self.desk.goto(self.at("stages"))
        self.desk.get_by_label(label).check()
        self.desk.get_by_role("button", name="Make the stage").click()
        self.desk.wait_for_url("**/draw/**")

    def calls_a_morning(self) -> None:
        """Table 3 is out of order; four matches are called, one of them moves while it is played."""
        desk, torn = self.desk, self.tables[2]
        desk.goto(self.at("day"))
        row = desk.locator(f"#t{torn.pk}")
        row.locator("summary").click()
        row.get_by_label("Why it is out of order").fill("the cloth is torn")
        row.get_by_role("button", name="Table 3 out of order").click()
        expect(desk.locator(f"#t{torn.pk}").get_by_text("out of order", exact=True)).to_be_visible()
        for called in range(1, 5):
            desk.locator(".day-calls .btn-main").click()
            expect(desk.get_by_text(f"called {called}", exact=True)).to_be_visible()
        assert not Match.objects.filter(competition=self.cup, table=torn).exists()
        moved = Match.objects.filter(table__isnull=False).order_by("table__number")[0]
        innings(opened(moved), 2, 1)
        desk.goto(self.at("day"))
        row = desk.locator(f"#m{moved.pk}")
        row.locator("summary").click()
        free = row.get_by_label("To another table").locator("option")
        expect(free).to_have_count(1)
        name = free.inner_text()
        row.get_by_role("button", name="Move").click()
        expect(desk.locator(f"#m{moved.pk} .day-place")).to_have_text(name)
        assert self.axe(desk) == []
        innings(moved, 3, 0)
        write(moved, "confirm")

    def scores_at_a_table(self) -> None:
        """A device without an account writes a match at the table to which it was called."""
        match = Match.objects.filter(table__isnull=False, projection__status="planned")[0]
        link = do_make_link(self.cup, PlayTable.objects.get(pk=match.table_id))
        self.phone.goto(f"{self.base}/at-the-table/#{link.fresh_token}")
        self.phone.get_by_role("link", name="Begin").click()
        device = ScoringPage(self.phone, self.base, match.pk)
        expect(device.root).to_have_attribute("data-ready", "")
        device.start(match.entrant_a.surname)
        device.innings(2, 1, 3, 1)
        device.act("confirm").click()
        device.is_in_phase("confirmed")
        device.is_all_with_the_club()
        self.phone.goto(f"{self.base}/at-the-table/")
        self.phone.get_by_role("button", name="Forget this table").click()
        assert Match.objects.get(pk=match.pk).projection.winner_id == match.entrant_a_id

    def withdraws_somebody(self) -> Player:
        """Who has played one match of the group withdraws; the other one goes to the opponent."""
        group = self.stage("groups").groups[-1]
        first = next(one.match for one in group.fixtures if one.match is not None)
        result(first, first.entrant_a_id)
        gone = first.entrant_b
        self.desk.goto(self.at("entrant", f"?player={gone.pk}"))
        self.desk.get_by_label("Why").fill("a cold")
        assert self.axe(self.desk) == []
        self.desk.get_by_role("button", name="Write that the player leaves").click()
        expect(self.desk.get_by_role("row").filter(has_text=gone.surname)).to_contain_text("withdrawn")
        return gone

    def plays_the_groups(self) -> None:
        for _round in range(3):
            for match in self.planned():
                result(match, min(match.entrant_ids))
        assert all(
            one.match is not None and one.state == "confirmed" for one in self.stage("groups").fixtures
        )

    def protests(self, match: Match) -> None:
        """A protest makes the standings provisional until it is decided."""
        desk = self.desk
        desk.goto(f"{self.base}/matches/{match.pk}/protest/")
        desk.get_by_label("What is protested against, and why").fill("The last point was a foul.")
        desk.get_by_role("button", name="Write the protest").click()
        expect(desk.get_by_role("heading", name="Decide")).to_be_visible()
        assert self.axe(desk) == []
        self.sees("standings", "Provisional: matches are to come, not confirmed, or disputed.")
        desk.goto(self.at("day"))
        expect(desk.get_by_text("a protest is not decided")).to_be_visible()
        desk.goto(f"{self.base}/matches/{match.pk}/protest/")
        desk.get_by_label("The decision").fill("The referee saw no foul.")
        desk.get_by_role("button", name="Decide it").click()
        expect(desk.get_by_role("heading", name="Decide")).to_have_count(0)
        self.phone.goto(self.at("standings"))
        expect(self.phone.get_by_text("Provisional", exact=False)).to_have_count(0)

    def goes_on_from_the_groups(self) -> None:
        desk = self.desk
        self.makes_stage("knock-out: who loses is out")
        expect(desk.get_by_label("The first so many of each group")).to_have_value("2")
        desk.get_by_role("button", name="Propose this order").click()
        expect(desk.locator("input.seed-field[value='16']")).to_have_count(1)
        expect(desk.locator("input.seed-field[value='17']")).to_have_count(0)
        self.draws("knockout", "by ranking: the order below stands", "So it would be drawn")

    def decides_a_draw(self) -> Match:
        """A match of the knock-out ends level: pages say so, and extra innings decide it."""
        match, desk = self.tie(1), self.desk
        innings(opened(match), 5, 5)
        desk.goto(self.at("day"))
        expect(desk.get_by_text("drawn, needs extra innings")).to_be_visible()
        desk.goto(f"{self.base}/matches/{match.pk}/")
        expect(desk.get_by_text("extra innings decide who goes on")).to_be_visible()
        assert self.axe(desk) == []
        table = ScoringPage(desk, self.base, match.pk).open()
        expect(desk.get_by_text("In a knock-out extra innings decide")).to_be_visible()
        table.act("extra").click()
        table.is_in_phase("playing")
        table.innings(0, 2)
        table.act("confirm").click()
        table.is_in_phase("confirmed")
        table.is_all_with_the_club()
        assert Match.objects.get(pk=match.pk).projection.winner_id == match.entrant_b_id
        return match

    def corrects_late(self) -> None:
        """A confirmed result is awarded the other way; who plays next has begun, so it is unlocked."""
        desk, match, next_one = self.desk, self.tie(3), self.tie(10)
        innings(opened(next_one), 1)
        other = match.entrant_b
        desk.goto(f"{self.base}/matches/{match.pk}/result/")
        desk.get_by_label("awarded by decision").check()
        desk.get_by_label("In favour of").select_option(str(other.pk))
        desk.get_by_label("Why").fill("The sheets were exchanged.")
        desk.get_by_role("button", name="Write it").click()
        desk.wait_for_url(f"**/matches/{match.pk}/")
        write(match, "confirm")
        assert self.tie(10).pk == next_one.pk
        desk.goto(self.at("bracket"))
        expect(desk.get_by_text("the bracket stands as it was played")).to_be_visible()
        assert self.axe(desk) == []
        desk.get_by_label("Why").fill("The sheets were exchanged.")
        desk.get_by_role("button", name="Unlock for the corrected result").click()
        expect(desk.get_by_text("Unlocked for a corrected result on")).to_be_visible()
        assert other.pk in self.tie(10).entrant_ids
        self.sees("bracket", "Unlocked for a corrected result on")

    def closes(self) -> None:
        desk = self.desk
        desk.goto(self.at("close"))
        assert self.axe(desk) == []
        desk.get_by_role("button", name="Close the competition").click()
        expect(desk.get_by_text("It holds")).to_be_visible()
        assert self.axe(desk) == []


def test_a_weekend_from_the_first_entry_to_the_fingerprint(
    page: Page,
    browser: Browser,
    live_server: Any,
    axe: Callable[[Page], list[str]],
    signed_in: Callable[[Any], None],
    complaints: list[str],
) -> None:
    phone = browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    week = Weekend(page, phone, live_server.url, axe)
    signed_in(make_organiser(week.cup))

    # In the morning: everybody is entered, groups are drawn, and the draw is published, no more.
    week.enters_everybody()
    week.sees_nothing_of("groups")
    week.makes_stage("groups, each a small round robin")
    week.draws("groups", "by pots: each pot is drawn", "Group H")
    week.publishes("bracket", "schedule")
    week.sees("groups", "Group H", NAMES[0])
    week.sees_nothing_of("standings")

    # The groups, with the standings moving on the visitor's phone.
    week.publishes("bracket", "schedule", "standings")
    expect(week.row_of(week.players[0]).locator("td").nth(2)).to_have_text("0")
    week.calls_a_morning()
    leader = Match.objects.get(competition=week.cup, projection__status="confirmed").entrant_a
    expect(week.row_of(leader).locator("td").nth(2)).to_have_text("2")
    week.scores_at_a_table()
    gone = week.withdraws_somebody()
    week.plays_the_groups()
    week.sees("standings", leader.surname)
    week.protests(next(one.match for one in week.stage("groups").fixtures if one.match is not None))

    # The knock-out.
    week.goes_on_from_the_groups()
    assert gone.pk not in {pk for one in week.stage("knockout").groups for pk in one.drawn}
    drawn = week.decides_a_draw()
    week.plays_out(range(2, 9))
    week.corrects_late()
    week.plays_out(range(9, 16))
    champion = Match.objects.get(pk=week.tie(15).pk).projection.winner_id
    assert champion == drawn.entrant_b_id

    # Everything is published, closed and proved.
    week.publishes("bracket", "schedule", "standings", "results", "sheets", "prizes")
    week.sees("results", "decided in extra innings", "awarded", "annulled", "walkover")
    week.closes()
    week.sees("verify", "It holds")
    phone.context.close()
    assert complaints == []
