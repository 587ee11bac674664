"""What a worker does in the background."""

from __future__ import annotations

from django_tasks import task

from analytics import prediction_run, upkeep


@task()
def predict_ledger() -> int:
    """Predict the recorded strokes that wait; return how many are done. One worker at a time."""
    try:
        # One thread: a worker leaves the other processors to whoever keeps score.
        return prediction_run.do_run(threads=1).done
    except prediction_run.Elsewhere:
        return 0


@task()
def bring_figures_up_to_date() -> int:
    """Fit the spreads anew that are behind, and work out what the club's strokes tell together."""
    return upkeep.do_bring_up_to_date()
