"""Signing in: strong hashes, and a throttle that stops a guesser and nobody else."""

import pytest
from django.contrib.auth.hashers import make_password
from django.http import HttpResponse
from django.test import Client, RequestFactory

from clubsite import settings as real
from clubsite.addresses import client_address
from clubsite.models import User

PASSWORD = "a long chalky word"
CLUB, ELSEWHERE = "198.51.100.7", "203.0.113.9"

pytestmark = pytest.mark.django_db


@pytest.fixture
def anke() -> User:
    return User.objects.create_user("anke", password=PASSWORD)


@pytest.fixture
def berit() -> User:
    return User.objects.create_user("berit", password=PASSWORD)


def sign_in(name: str, password: str, address: str = CLUB) -> HttpResponse:
    form = {"username": name, "password": password}
    return Client(REMOTE_ADDR=address).post("/sign-in/", form)


def lock(name: str) -> None:
    for _ in range(5):
        sign_in(name, "not this one")


def test_right_password_signs_in(anke: User) -> None:
    answer = sign_in("anke", PASSWORD)
    assert (answer.status_code, answer["Location"]) == (302, "/")


def test_fifth_wrong_password_locks_that_name_at_that_address(anke: User) -> None:
    for _ in range(4):
        assert sign_in("anke", "not this one").status_code == 200
    assert sign_in("anke", "not this one").status_code == 429
    answer = sign_in("anke", PASSWORD)
    assert answer.status_code == 429
    assert "Sign-in paused" in answer.content.decode()


def test_others_at_the_same_address_still_get_in(anke: User, berit: User) -> None:
    lock("anke")
    assert sign_in("berit", PASSWORD).status_code == 302


def test_the_same_name_still_gets_in_from_elsewhere(anke: User) -> None:
    lock("anke")
    assert sign_in("anke", PASSWORD, ELSEWHERE).status_code == 302


def test_success_forgets_the_misses_before_it(anke: User) -> None:
    for password in ["no", "no", "no", "no", PASSWORD, "no", "no", "no", "no"]:
        sign_in("anke", password)
    assert sign_in("anke", PASSWORD).status_code == 302


def test_written_header_hides_nobody(anke: User) -> None:
    for number in range(6):
        form = {"username": "anke", "password": "not this one"}
        client = Client(REMOTE_ADDR=CLUB, headers={"X-Forwarded-For": f"192.0.2.{number}"})
        answer = client.post("/sign-in/", form)
    assert answer.status_code == 429


@pytest.mark.parametrize(
    ("proxies", "header", "address"),
    [
        (0, "203.0.113.9", CLUB),
        (1, "203.0.113.9", "203.0.113.9"),
        (1, "192.0.2.66, 203.0.113.9", "203.0.113.9"),
        (2, "192.0.2.66, 203.0.113.9, 198.51.100.1", "203.0.113.9"),
        (1, "", CLUB),
    ],
)
def test_address_is_what_our_own_proxies_saw(settings, proxies: int, header: str, address: str) -> None:
    settings.PROXIES = proxies
    request = RequestFactory().get("/", REMOTE_ADDR=CLUB, headers={"X-Forwarded-For": header})
    assert client_address(request) == address


def test_passwords_are_hashed_with_argon2(settings) -> None:
    settings.PASSWORD_HASHERS = real.PASSWORD_HASHERS
    assert make_password(PASSWORD).startswith("argon2$argon2id$")


def test_sign_out_needs_a_post(client: Client, anke: User) -> None:
    client.force_login(anke, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/sign-out/").status_code == 405
    assert "_auth_user_id" in client.session
    client.post("/sign-out/")
    assert "_auth_user_id" not in client.session


@pytest.mark.parametrize("target", ["https://elsewhere.example/", "//elsewhere.example/"])
def test_sign_in_leads_to_no_other_site(client: Client, anke: User, target: str) -> None:
    answer = client.post("/sign-in/", {"username": "anke", "password": PASSWORD, "next": target})
    assert answer["Location"] == "/"


def test_users_have_an_identifier_of_their_own(anke: User, berit: User) -> None:
    assert anke.uuid != berit.uuid
