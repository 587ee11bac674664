"""`manage.py demo`: set up the invented club, say how to sign in, and serve the site."""

import time
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from clubsite import serving
from clubsite.demo import events, fixture, practice, season
from clubsite.demo.club import DemoClub, ForeignClub, do_set_up
from clubsite.demo.replay import NotAccepted, do_replay

WIDTH = 24  # of the bar


class Command(BaseCommand):
    help = (
        "Set up the demo club Lantern Street, with its matches written through the ledger, and "
        "serve the site on PORT (8000). Run again, it goes on with what is there."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="set up and stop there")
        parser.add_argument("--port", type=int, help="where the site listens; otherwise PORT, else 8000")

    def handle(self, *args: Any, **options: Any) -> None:
        number = options["port"] or serving.port()
        serves = not options["no_serve"]
        if serves and not serving.is_free(number):
            raise CommandError(
                f"Port {number} is taken by another program. Choose one: manage.py demo --port {number + 1}"
            )
        begun = time.monotonic()
        serving.prepare()
        played = season.read()
        practised = practice.read()
        held = events.read()
        told = events.joined(practice.joined(season.joined(fixture.read(), played), practised), held)
        try:
            demo = do_set_up(told)
            written = do_replay(demo, told, self._progress)
            season.do_hand_predictions(demo, played)
            practice.do_practise(demo, practised)
            events.do_hold_events(demo, held)
        except ForeignClub:
            raise CommandError(
                "This database holds a club of its own, so nothing was changed. Keep the demo in a "
                "folder of its own: DATA_DIR=.demo manage.py demo"
            ) from None
        except NotAccepted as refused:
            raise CommandError(f"The demo was not written to its end. {refused}") from None
        self.stdout.write(
            f"{demo.club.name}: {len(told['matches'])} matches, {written} entries written now, "
            f"in {time.monotonic() - begun:.1f} s."
        )
        self._say_where(demo, told, number)
        if serves:
            self.stdout.write("Stop it with Ctrl-C.")
            serving.serve(number)  # its processes prepare the simulator
        else:
            self._warm()

    def _warm(self) -> None:
        try:
            call_command("warm_kernels", stdout=self.stdout)
        except CommandError as fault:
            self.stderr.write(str(fault))

    def _progress(self, done: int, of: int) -> None:
        if not self.stdout.isatty():
            return
        bar = ("=" * round(WIDTH * done / of)).ljust(WIDTH)
        self.stdout.write(f"\r[{bar}] {done} of {of} matches", ending="\n" if done == of else "")
        self.stdout.flush()

    def _say_where(self, demo: DemoClub, told: dict[str, Any], number: int) -> None:
        self.stdout.write("\nLook at  " + "  ".join(serving.urls(number)))
        self.stdout.write(f"Sign in  {serving.urls(number)[0]}sign-in/")
        for row in told["users"]:
            # Whoever changed a password knows it; the demo does not.
            known = demo.users[row["name"]].check_password(row["password"])
            password = row["password"] if known else "(changed since)"
            self.stdout.write(f"  {row['name']:<12}{password:<20}{self._who(row)}")

    def _who(self, row: dict[str, Any]) -> str:
        if "role" in row:
            return {
                "administrator": "organises the club: sees and corrects everything, gives roles",
                "referee": "writes every match",
                "coach": "looks on at pupils who agreed, and sets them positions",
            }[row["role"]]
        return "a player: own matches and figures"
