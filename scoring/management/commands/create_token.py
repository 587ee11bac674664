"""Print a token of the API, once."""

from __future__ import annotations

import datetime

from django.contrib.auth import get_user_model
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from scoring.models import ApiToken


class Command(BaseCommand):
    """Create a token for a user and print its key; only its hash is kept."""

    help = "Prints a new token of the API for a user; it is shown this once."

    def add_arguments(self, parser) -> None:
        parser.add_argument("username")
        parser.add_argument("--name", default="command line", help="what the token is for")
        parser.add_argument("--days", type=int, help="how long it holds; left out: until it is withdrawn")

    def handle(self, *args, **options) -> None:
        user = get_user_model().objects.filter(username=options["username"]).first()
        if user is None:
            raise CommandError(f"No user has the name {options['username']}.")
        days = options["days"]
        if days is not None and not 1 <= days <= 36500:
            raise CommandError("Give a number of days from 1 to 36500.")
        if not 1 <= len(options["name"]) <= 80:
            raise CommandError("Give a name of 1 to 80 characters.")
        expires = None if days is None else timezone.now() + datetime.timedelta(days=days)
        _token, key = ApiToken.objects.issue(user, options["name"], expires)
        self.stdout.write(key)
