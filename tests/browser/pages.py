"""Page objects: what a person at the table does, and what they look at."""

from __future__ import annotations

from playwright.sync_api import Locator, Page, expect


class ScoringPage:
    """The scoring page of one match, on one device."""

    def __init__(self, page: Page, base: str, match: int) -> None:
        self.page = page
        self.base = base
        self.match = match
        self.root = page.locator("#score")

    def open(self) -> ScoringPage:
        """Go to the page and wait until its script listens."""
        self.page.goto(f"{self.base}/matches/{self.match}/score/")
        expect(self.root).to_have_attribute("data-ready", "")
        return self

    def slot(self, name: str) -> Locator:
        return self.page.locator(f'[data-slot="{name}"]').first

    def act(self, name: str) -> Locator:
        """The button of an action, where it is seen."""
        return self.page.locator(f'[data-act="{name}"]:visible').first

    # Writing

    def start(self, name: str, decided_by: str = "the lag") -> None:
        """Say who won the start."""
        self.page.get_by_label(decided_by, exact=True).check()
        self.page.get_by_role("button", name=f"White: {name}").click()
        self.is_in_phase("playing")

    def inning(self, run: int) -> None:
        """Write a whole inning with the pad."""
        tens, figure = divmod(run, 10)
        for _ in range(tens):
            self.act("tens").click()
        self.digit(figure)

    def innings(self, *runs: int) -> None:
        for run in runs:
            self.inning(run)

    def digit(self, figure: int) -> None:
        """Tap a digit once the pad listens again."""
        key = self.page.locator(f'.pad:not([data-deaf]) [data-key="{figure}"]')
        key.click()

    def type(self, *keys: str) -> None:
        """Press keys of a keypad, as fast as the pad listens."""
        for key in keys:
            expect(self.page.locator(".pad[data-deaf]")).to_have_count(0)
            self.page.keyboard.press(key)

    def tap_contacts(self, *contacts: str) -> None:
        """Tap rails and balls on the drawn table."""
        for contact in contacts:
            self.page.locator(f'[data-rail="{contact}"], .object-ball[data-ball="{contact}"]').click()

    def looks(self) -> None:
        """Let the device ask the club at once, as it does when the network comes back."""
        self.page.evaluate("dispatchEvent(new Event('online'))")

    def cell(self, colour: str, inning: int) -> Locator:
        """The run of an inning in the ledger; pressed, it is corrected."""
        return self.page.get_by_role("button", name=f"Correct {colour}, inning {inning},")

    # Looking

    def shows_score(self, white: int, yellow: int) -> None:
        expect(self.slot("total-white")).to_have_text(str(white))
        expect(self.slot("total-yellow")).to_have_text(str(yellow))

    def reads_back(self, said: str, more: str = "") -> None:
        expect(self.slot("said")).to_have_text(said)
        if more:
            expect(self.slot("said-more")).to_have_text(more)

    def is_in_phase(self, phase: str) -> None:
        expect(self.root).to_have_attribute("data-phase", phase)

    def is_all_with_the_club(self) -> None:
        expect(self.page.get_by_text("all with the club")).to_be_visible()

    def to_play(self, colour: str) -> None:
        expect(self.page.locator(f'[data-slot="side-{colour}"]')).to_have_attribute("data-on-turn", "")


class SheetPage:
    """The score sheet of one match."""

    def __init__(self, page: Page) -> None:
        self.page = page
        page.wait_for_url("**/sheet/")  # with its styles: they decide which of the sums is seen

    def sum(self, figure: str, colour: str) -> Locator:
        """A sum at the foot, where it is seen: points, innings, average, high_run."""
        return self.page.locator(f'[data-sum="{figure}-{colour}"]:visible')

    def run(self, colour: str, inning: int) -> Locator:
        return self.page.locator(f'[data-row="{inning}"] [data-cell="run"][data-side="{colour}"]').first
