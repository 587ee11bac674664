"""Work out again what a closed competition was closed with."""

from __future__ import annotations

from django.core.management.base import BaseCommand, CommandError

from scoring.closing import verify
from scoring.models import Competition


class Command(BaseCommand):
    help = "Read every ledger of closed competitions again, and say whether their fingerprints still hold."

    def add_arguments(self, parser) -> None:
        parser.add_argument(
            "competitions", nargs="*", type=int, help="ids; all closed competitions where left out"
        )

    def handle(self, *args, **options) -> None:
        wanted = set(options["competitions"])
        found = Competition.objects.filter(pk__in=wanted) if wanted else Competition.objects.all()
        closed = list(found.filter(closed_at__isnull=False).order_by("pk"))
        missing = sorted(wanted - {one.pk for one in closed})
        if missing:
            raise CommandError(f"There is no closed competition {', '.join(map(str, missing))}.")
        changed = 0
        for one in closed:
            verdict = verify(one)
            counts = f"{verdict.matches} matches, {verdict.entries} entries"
            if verdict.holds:
                self.stdout.write(f"competition {one.pk}: holds ({counts})")
                continue
            changed += 1
            self.stderr.write(f"competition {one.pk}: does not hold ({counts})")
            self.stderr.write(f"  closed with {verdict.stored or 'nothing'}, now {verdict.found}")
            for pk in verdict.broken:
                self.stderr.write(f"  match {pk}: an entry is not the one that was written")
            if verdict.own_broken:
                self.stderr.write("  its own ledger: an entry is not the one that was written")
        if changed:
            raise CommandError("Something was changed since the closing; see above.")
