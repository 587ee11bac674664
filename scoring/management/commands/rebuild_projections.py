"""Rebuild what the ledgers add up to, one after the other."""

from __future__ import annotations

import sys
import time

from django.core.management.base import BaseCommand, CommandError

from scoring.conducting import do_rebuild_competition
from scoring.encounter_sums import do_rebuild_boards
from scoring.models import Competition, Match, PracticeSession
from scoring.practising import do_rebuild_session
from scoring.rebuilding import do_rebuild
from scoring.summing import do_rebuild_sums


class Command(BaseCommand):
    help = (
        "Rebuild the projections of every match, competition and practice session from its ledger, and say "
        "where a row or an entry was not as it was written."
    )

    def add_arguments(self, parser) -> None:
        parser.add_argument(
            "matches", nargs="*", type=int, help="ids; all matches, competitions and sessions where left out"
        )

    def handle(self, *args, **options) -> None:
        wanted = options["matches"]
        matches = Match.objects.filter(pk__in=wanted) if wanted else Match.objects.all()
        ids = list(matches.order_by("pk").values_list("pk", flat=True))
        missing = sorted(set(wanted) - set(ids))
        if missing:
            raise CommandError(f"There is no match {', '.join(map(str, missing))}.")
        differing = 0
        said = 0.0
        for done, pk in enumerate(ids, start=1):
            for what in do_rebuild(pk):
                differing += 1
                self.stderr.write(f"match {pk}: {what}")
            if sys.stdout.isatty() and time.monotonic() - said > 0.2:
                said = time.monotonic()
                self.stdout.write(f"\r{done} of {len(ids)} matches", ending="")
        if sys.stdout.isatty():
            self.stdout.write("\r", ending="")
        for competition in Competition.objects.none() if wanted else Competition.objects.order_by("pk"):
            rebuilt = (do_rebuild_competition, do_rebuild_sums, do_rebuild_boards)
            for what in [told for one in rebuilt for told in one(competition)]:
                differing += 1
                self.stderr.write(f"competition {competition.pk}: {what}")
        sessions = [] if wanted else list(PracticeSession.objects.order_by("pk").values_list("pk", flat=True))
        for pk in sessions:
            for what in do_rebuild_session(pk):
                differing += 1
                self.stderr.write(f"practice session {pk}: {what}")
        practice = f" and {len(sessions)} practice sessions" if sessions else ""
        self.stdout.write(f"{len(ids)} matches{practice} rebuilt, {differing} differences found.")
        if differing:
            raise CommandError("Some rows or entries were not as the ledger has them; see above.")
