"""The database the tests run on is the one asked for, and it behaves as the ledger needs."""

import os
import threading

import pytest
from django.db import OperationalError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from clubsite.models import User

pytestmark = pytest.mark.both_databases

THREADS, ROUNDS = 4, 25


@pytest.mark.django_db
def test_database_is_the_one_asked_for() -> None:
    asked = os.environ.get("DATABASE_URL", "")
    assert connection.vendor == ("postgresql" if asked.startswith("postgres") else "sqlite")


@pytest.mark.django_db
def test_every_migration_is_in() -> None:
    executor = MigrationExecutor(connection)
    assert executor.migration_plan(executor.loader.graph.leaf_nodes()) == []


def count_together(name: str, lock: bool) -> list[Exception]:
    """Let threads read a number, add one and write it back; answer what went wrong."""
    wrong: list[Exception] = []
    start = threading.Barrier(THREADS)

    def count() -> None:
        start.wait()
        try:
            for _ in range(ROUNDS):
                with transaction.atomic():
                    rows = User.objects.select_for_update() if lock else User.objects.all()
                    user = rows.get(username=name)
                    user.email = str(int(user.email) + 1)
                    user.save()
        except OperationalError as error:
            wrong.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=count) for _ in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return wrong


@pytest.mark.django_db(transaction=True)
def test_readers_that_turn_writers_wait_for_one_another() -> None:
    User.objects.create(username="anke", email="0")
    assert count_together("anke", lock=True) == []
    assert User.objects.get(username="anke").email == str(THREADS * ROUNDS)


@pytest.mark.django_db(transaction=True)
def test_without_the_lock_the_race_shows(monkeypatch) -> None:
    """The control: the same work, unlocked, loses counts or is turned away."""
    if connection.vendor == "sqlite":
        monkeypatch.setitem(connection.settings_dict["OPTIONS"], "transaction_mode", "DEFERRED")
        connection.close()
    User.objects.create(username="anke", email="0")
    wrong = count_together("anke", lock=False)
    assert wrong or User.objects.get(username="anke").email != str(THREADS * ROUNDS)
