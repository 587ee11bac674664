"""How the server is started."""

import socket

import pytest

from clubsite import serving


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
