"""`manage.py import_club FILE`: a club out of an archive, into an empty database."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from scoring.archive.reading import read_archive
from scoring.rules.match.checks import Refused


class Command(BaseCommand):
    """Read the archive."""

    help = (
        "Bring the club of FILE into this database, which must be migrated and empty. All of it or nothing."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with options["file"].open("rb") as source:
                manifest = read_archive(source, self._tell)
        except OSError as error:
            raise CommandError(f"{options['file']} could not be read: {error}") from error
        except Refused as error:
            raise CommandError(str(error.reason)) from error
        rows = sum(one["rows"] for one in manifest["members"])
        self.stdout.write(f"{rows} rows brought in; every ledger is proved and adds up to what it did.")
        if not manifest["passwords"]:
            self.stdout.write("Passwords were not in the archive: manage.py changepassword sets one.")

    def _tell(self, name: str, done: int, rows: int) -> None:
        """Say how far it is, where somebody looks on: the last member is the proof of every ledger."""
        if self.stdout.isatty():
            self.stdout.write(f"\r{name}: {done} of {rows}   ", ending="\n" if done == rows else "")
            self.stdout.flush()
