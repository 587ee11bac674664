"""`manage.py export_club FILE`: the whole club as one archive."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from scoring.archive.writing import write_archive


class Command(BaseCommand):
    """Write the archive."""

    help = (
        "Write the whole club to FILE: a zip of JSON lines with a manifest. Keep it as safe as the database."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--passwords",
            action="store_true",
            help="with the hashes of the users' passwords, left out otherwise",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        file: Path = options["file"]
        part = file.with_name(file.name + ".part")
        try:
            # Readable by its owner alone: it holds names.
            with os.fdopen(os.open(part, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600), "wb+") as target:
                manifest = write_archive(target, passwords=options["passwords"])
            part.replace(file)
        except OSError as error:
            raise CommandError(f"{file} could not be written: {error}") from error
        finally:
            part.unlink(missing_ok=True)
        rows = sum(one["rows"] for one in manifest["members"])
        kept = "with" if options["passwords"] else "without"
        self.stdout.write(f"{file}: {rows} rows, {kept} the hashes of passwords.")
