"""Several writers at once: threads of a test, or the processes that a test starts.

`python tests/scoring/racing.py <database> <match> <writer> <entries>` is one such process.
"""

from __future__ import annotations

import sys
import threading
import uuid
from collections.abc import Callable
from typing import Any

# A writer that had to fetch and send again this often will never get through.
TRIES = 400


def together(*jobs: Callable[[], Any]) -> list[Any]:
    """Run every job in a thread of its own, all let go at once; return what each answered or raised."""
    from django.db import connection

    answers: list[Any] = [None] * len(jobs)
    start = threading.Barrier(len(jobs))

    def run(place: int, job: Callable[[], Any]) -> None:
        try:
            start.wait(timeout=20)
            answers[place] = job()
        except Exception as error:  # handed to the test, which says what is allowed
            answers[place] = error
        finally:
            connection.close()

    # The pool is small: what the test itself holds is given back first.
    connection.close()
    threads = [threading.Thread(target=run, args=each) for each in enumerate(jobs)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def an_inning(name: str, after: int, run: int = 1) -> dict[str, Any]:
    """Return a whole inning whose uuid follows from `name`."""
    return {
        "uuid": str(uuid.uuid5(uuid.NAMESPACE_OID, name)),
        "after": after,
        "kind": "inning",
        "run": run,
    }


def write_all(match_id: int, writer: str, entries: int) -> list[int]:
    """Write so many innings against everybody else: read on and send again whenever it is stale.

    Return the seqs. Raises what the ledger refuses for any other reason.
    """
    from scoring import ledger
    from scoring.models import MatchProjection

    seqs: list[int] = []
    for _ in range(TRIES):
        if len(seqs) == entries:
            return seqs
        after = MatchProjection.objects.values_list("seq", flat=True).get(pk=match_id)
        # The same uuid again: what was refused is not known.
        sent = an_inning(f"{match_id} {writer} {len(seqs)}", after, len(seqs) % 3)
        outcome, _state = ledger.append(match_id, sent, ledger.Author())
        if outcome.status == "stored":
            seqs.append(outcome.seq)
        elif outcome.code != "stale":
            raise outcome.error
    raise RuntimeError(f"{writer} wrote {len(seqs)} of {entries} entries")


def main(database: str, match_id: str, writer: str, entries: str) -> None:
    import django
    from django.db import connection

    django.setup()
    connection.settings_dict["NAME"] = database
    print(*write_all(int(match_id), writer, int(entries)))


if __name__ == "__main__":
    main(*sys.argv[1:])
