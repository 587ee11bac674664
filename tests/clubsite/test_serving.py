"""How the server is started."""

import socket
import subprocess
import threading

import pytest

from clubsite import serving, workers


def test_one_process_on_sqlite_more_on_postgresql(settings, monkeypatch) -> None:
    monkeypatch.setenv("WEB_CONCURRENCY", "3")
    settings.SQLITE = True
    command = serving.gunicorn_command(8000)
    assert command[command.index("--workers") + 1] == "1"
    settings.SQLITE = False
    command = serving.gunicorn_command(8000)
    assert command[command.index("--workers") + 1] == "3"


@pytest.mark.parametrize(("lan", "host"), [(False, "127.0.0.1"), (True, "0.0.0.0")])
def test_room_gets_in_only_when_asked(settings, lan: bool, host: str) -> None:
    settings.LAN = lan
    assert f"{host}:8000" in serving.gunicorn_command(8000)


def test_addresses_for_the_room_are_listed(settings) -> None:
    settings.LAN = True
    settings.ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", "192.0.2.4"]
    assert serving.urls(8001) == ["http://localhost:8001/", "http://192.0.2.4:8001/"]


@pytest.mark.parametrize(("given", "port"), [("", 8000), ("9001", 9001)])
def test_port_comes_from_the_environment(monkeypatch, given: str, port: int) -> None:
    monkeypatch.setenv("PORT", given)
    assert serving.port() == port


def test_taken_port_is_noticed() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        assert not serving.is_free(other.getsockname()[1])


def test_web_process_prepares_the_simulator_beside_its_work(monkeypatch) -> None:
    command = serving.gunicorn_command(8000)
    assert command[command.index("--config") + 1] == f"python:{workers.__name__}"
    prepared = threading.Event()
    may_go_on = threading.Event()

    def prepare() -> None:
        may_go_on.wait(10)
        prepared.set()

    monkeypatch.setattr(workers, "prepare_simulator", prepare)
    workers.post_worker_init(object())
    assert not prepared.is_set()
    may_go_on.set()
    assert prepared.wait(10)


@pytest.mark.parametrize(("code", "loaded"), [(0, 1), (1, 0)])
def test_simulator_is_compiled_elsewhere_and_loaded_only_then(monkeypatch, code: int, loaded: int) -> None:
    commands, loads = [], []

    def run(command, **_options):
        commands.append(command)
        return subprocess.CompletedProcess(command, code)

    monkeypatch.setattr(workers.subprocess, "run", run)
    monkeypatch.setattr(workers.kernels, "do_warm_search", lambda: loads.append(len(commands)))
    workers.prepare_simulator()
    assert [command[1:] for command in commands] == [["manage.py", "warm_kernels", "--gently"]]
    assert loads == [1] * loaded


@pytest.mark.parametrize(("wanted", "started"), [(True, 2), (False, 0)])
def test_web_process_keeps_a_worker_that_ends_with_it(
    settings, monkeypatch, wanted: bool, started: int
) -> None:
    settings.WORKER = wanted
    commands: list[list[str]] = []

    class Ended:
        def __init__(self, command: list[str], **how) -> None:
            # The first one ends by itself and is followed by another, which cannot be started.
            commands.append(command[1:])
            assert how["stdin"] is subprocess.PIPE
            if len(commands) > 1:
                raise OSError("no more processes")

        def wait(self) -> None:
            pass

    monkeypatch.setattr(workers, "prepare_simulator", lambda: None)
    monkeypatch.setattr(workers, "PAUSE", 0)
    monkeypatch.setattr(workers.subprocess, "Popen", Ended)
    workers.work_beside()
    assert commands == [["manage.py", "worker", "--beside"]] * started


def test_web_process_goes_on_where_nothing_can_be_started_beside_it(monkeypatch, capsys) -> None:
    def refuse(*_command, **_options):
        raise OSError("no more processes")

    monkeypatch.setattr(workers.subprocess, "run", refuse)
    monkeypatch.setattr(workers.kernels, "do_warm_search", lambda: pytest.fail("loaded all the same"))
    workers.prepare_simulator()
    assert "no more processes" in capsys.readouterr().err
