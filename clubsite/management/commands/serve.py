"""`manage.py serve`: bring everything up to date and serve the site."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from clubsite import serving


class Command(BaseCommand):
    help = "Bring database and static files up to date, then serve the site on PORT (8000)."

    def handle(self, *args: Any, **options: Any) -> None:
        number = serving.port()
        if not serving.is_free(number):
            raise CommandError(
                f"Port {number} is taken by another program. Choose one: PORT={number + 1} manage.py serve"
            )
        serving.prepare()
        self.stdout.write("Cushion Ledger is at " + "  ".join(serving.urls(number)))
        self.stdout.write("Stop it with Ctrl-C.")
        serving.serve(number)
