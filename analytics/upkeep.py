"""Figures that follow from strokes and predictions, brought up to date in the background."""

from __future__ import annotations

import time

from analytics import club_figures, doubting, spread_fits
from analytics.played import packing

# A worker is asked at most once in so long [s]; a task that finds nothing to do costs two questions.
ASKS = 30.0
# Lots of two hundred matches that are packed in one go; a worker has other things to do.
LOTS = 10


class Asker:
    """Asks a worker for what is behind, and remembers when it last did."""

    def __init__(self) -> None:
        self.asked_at = -ASKS

    def do_look(self) -> bool:
        """Look whether something is behind, and ask for it; tell whether it was asked for."""
        from analytics.tasks import bring_figures_up_to_date

        if time.monotonic() - self.asked_at < ASKS:
            return False
        behind = spread_fits.is_behind() or club_figures.disciplines_behind()
        if not (behind or packing.waiting(1) or doubting.waiting(1)):
            return False
        self.asked_at = time.monotonic()
        bring_figures_up_to_date.enqueue()
        return True


def do_bring_up_to_date() -> int:
    """Fit the spreads that are behind, and work out what the club's strokes tell; return how many.

    Matches that are over are packed first, so that nobody who reads the whole club waits for it, then
    looked at for what can hardly be right.
    """
    for _ in range(LOTS):
        behind = packing.waiting()
        packing.do_pack(behind)
        if len(behind) < packing.AT_ONCE:
            break
    for _ in range(LOTS):
        behind = doubting.waiting()
        doubting.do_scan(behind)
        if len(behind) < doubting.AT_ONCE:
            break
    done = spread_fits.do_refit()
    for discipline in club_figures.disciplines_behind():
        club_figures.do_work_out(discipline)
        done += 1
    return done
