"""From a file to matches and back, as an organiser does it; and the federation's file."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from scoring.models import ExternalNumber, ImportBatch, Match, Player
from scoring.pages import import_progress
from tests import cast
from tests.scoring.test_importing import RESULTS


def sent(client, address, **fields):
    return client.post(address, fields, format="multipart")


def upload(client, text, kind="results", **fields):
    file = SimpleUploadedFile("old.csv", text.encode("cp1252"), content_type="text/csv")
    return sent(client, reverse("import-new"), kind=kind, file=file, **fields)


@pytest.mark.django_db
def test_from_a_file_to_matches_and_back():
    mira = cast.make_player("Quendal")
    client = cast.client_for(cast.make_organiser(name="ilse"))
    assert "This is needed" in sent(client, reverse("import-new"), kind="results").content.decode()
    address = upload(client, RESULTS.replace("Ronja", "Rénja").replace("Points 1", "Made"))["Location"]
    page = client.get(address).content.decode()
    assert "Choose below which column holds" in page
    sent(client, address, action="read", column_date=0, column_player_a=1, column_player_b=2, column_score_a=3,
         column_score_b=4, column_innings=5, separator=";", encoding="cp1252", discipline="three-cushion")  # fmt: skip
    page = client.get(address).content.decode()
    assert "<b>2 matches</b>, <b>2 players</b>" in page
    assert "1 choice is open" in page
    assert "Nothing was brought in" in sent(client, address, action="write").content.decode()
    assert Match.objects.count() == 0
    sent(client, address, action="write", **{"person-0": mira.pk})
    assert Match.objects.of_player(mira).count() == 2
    assert Player.objects.filter(name__given="Rénja").exists()
    lost = Match.objects.order_by("-pk").first()
    for name in ("match", "match-sheet"):
        assert "result only" in client.get(reverse(name, args=[lost.pk])).content.decode()
    for path in (reverse("matches"), reverse("player", args=[mira.pk])):
        assert "result only, innings unknown" in client.get(path).content.decode()
    assert client.get(reverse("player-report", args=[mira.pk])).status_code == 200
    page = client.get(address).content.decode()
    assert "Take all of it back" in page
    assert "Made" in page
    sent(client, address, action="undo")
    assert (Match.objects.count(), Player.objects.count()) == (0, 1)
    assert "taken back by ilse" in client.get(reverse("imports")).content.decode()
    assert "It was not taken back" in sent(client, address, action="undo").content.decode()


@pytest.mark.django_db
def test_points_without_innings_are_told_and_stay_out_of_averages():
    cup = cast.make_competition()
    client = cast.client_for(cast.make_organiser())
    address = upload(client, RESULTS, competition=cup.pk)["Location"]
    sent(client, address, action="write")
    lost = Match.objects.order_by("-pk").first()
    page = client.get(reverse("competition-results", args=[cup.pk])).content.decode()
    assert "result only, innings unknown" in page
    assert '<td class="num strong">12</td>' in page
    page = client.get(reverse("competition-standings", args=[cup.pk])).content.decode()
    assert "2 matches are known as results only. Of 1 the innings are unknown" in page
    assert '<td class="num wide">40</td>' in page
    assert '<td class="num wide">12</td>' not in page
    sheet = client.get(reverse("match-sheet", args=[lost.pk])).content.decode()
    assert 'data-sum="points-white">12<' in sheet
    assert 'data-sum="high_run-white">–<' in sheet
    assert 'data-sum="innings-white">–<' in sheet


KNOWN = '"Name";"Number"\n"Quendal, Mira";"7"\n"Vilemeer, Joost";"8"\n"Alva Zorrin";"9"\n'


@pytest.mark.django_db
def test_what_was_chosen_outlives_a_wrong_choice():
    mira = cast.make_player("Quendal")
    cast.make_player("Vilemeer")
    client = cast.client_for(cast.make_organiser())
    address = upload(client, KNOWN, kind="players")["Location"]
    draft = ImportBatch.objects.get()
    told = {"column_name": 0, "column_number": 1, "separator": ";", "encoding": "utf-8", "issuer": "Union"}
    sent(client, address, action="read", **told | {"issuer": "Bond"})
    page = sent(
        client, address, action="read", **told | {"separator": ",", "row-2": mira.pk}
    ).content.decode()
    assert "A cell is not closed" in page
    assert 'value="Union"' in page
    assert client.get(address).status_code == 200
    page = sent(client, address, action="read", **told | {"issuer": "U" * 61}).content.decode()
    assert "One thing is to be mended" in page
    assert "At most 60 signs." in page
    sent(client, address, action="choose", **told)
    draft.refresh_from_db()
    assert (draft.options["rows"]["2"], draft.options["issuer"]) == (str(mira.pk), "Union")
    sent(client, address, action="choose", twins="same", **told)
    page = sent(client, address, action="write", **told | {"issuer": "Guild"}).content.decode()
    assert "The file is read otherwise now" in page
    sent(client, address, action="write", **told | {"issuer": "Guild"})
    numbers = ExternalNumber.objects.values_list("issuer", "number", "player__name__family")
    assert set(numbers) == {("Guild", "7", "Quendal"), ("Guild", "8", "Vilemeer"), ("Guild", "9", "Zorrin")}


@pytest.mark.django_db
def test_a_map_that_was_chosen_outlives_a_wrong_separator():
    client = cast.client_for(cast.make_organiser())
    address = upload(client, "Who;What\nAlva Zorrin;9\n", kind="players")["Location"]
    read = {"action": "read", "encoding": "utf-8", "issuer": "Union"}
    sent(client, address, **read, separator=";", column_name=0, column_number=1)
    assert "<b>1 player</b>, 1 number" in client.get(address).content.decode()
    # What the page shows then: one column, that of the name.
    sent(client, address, **read, separator=",", column_name=0, column_number=1)
    sent(client, address, **read, separator=";", column_name=0)
    assert "<b>1 player</b>, 1 number" in client.get(address).content.decode()


@pytest.mark.django_db
def test_a_trial_names_the_new_and_counts_what_is_left_out():
    cast.make_player("Quendal")
    client = cast.client_for(cast.make_organiser())
    address = upload(client, RESULTS + RESULTS.splitlines()[1] + "\n")["Location"]
    sent(client, address, action="choose", twins="skip", **{"person-0": "new"})
    page = client.get(address).content.decode()
    assert "Joost Vilemeer; Ronja Astavik" in page
    assert "2 matches come as results only" in page


@pytest.mark.django_db
def test_a_draft_is_thrown_away_and_strange_sums_are_borne():
    client = cast.client_for(cast.make_organiser())
    assert "needs a line of heads" in upload(client, "heads;only\n").content.decode()
    address = upload(client, RESULTS)["Location"]
    for fields in (
        {"action": "read", "column_date": "99"},
        {"action": "choose", "row-2": "x"},
        {"action": "?"},
        {},
    ):
        assert sent(client, address, **fields).status_code in (200, 302)
    sent(client, address, action="drop")
    assert ImportBatch.objects.count() == 0


@pytest.mark.django_db
def test_the_file_of_a_federation():
    cup = cast.make_competition()
    client = cast.client_for(cast.make_organiser())
    address = upload(client, RESULTS, competition=cup.pk)["Location"]
    sent(client, address, action="write")
    mira = Player.objects.get(name__family="Quendal")
    ExternalNumber.objects.create(player=mira, issuer="Union", number="=007")
    file = reverse("competition-export", args=[cup.pk])
    asked = {"place-player_1": 2, "place-date": 1, "place-number_1": 3, "place-average_1": 4, "place-known": 5,
             "place-innings_1": 6, "head-player_1": "Speler", "issuer": "Union", "file": 1}  # fmt: skip
    answer = client.get(file, asked)
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig")), delimiter=";"))
    assert rows == [
        ["date", "Speler", "number_1", "average_1", "known", "innings_1"],
        ["2020-09-01", "Mira Quendal", "'=007", "1,481", "result", "27"],
        ["2020-09-02", "Ronja Astavik", "", "", "result", ""],
    ]
    assert 'value="Speler"' in client.get(file, {"head-player_1": "Speler"}).content.decode()
    whole = list(
        csv.reader(io.StringIO(client.get(file, {"file": 1, "separator": "comma"}).content.decode()))
    )
    assert len(whole[0]) == 21


def a_ready_file():
    """Return a client and the address of a draft of which nothing is open."""
    client = cast.client_for(cast.make_organiser())
    address = upload(client, RESULTS)["Location"]
    sent(client, address, action="read", column_date=0, column_player_a=1, column_player_b=2, column_score_a=3,
         column_score_b=4, column_innings=5, separator=";", encoding="cp1252", discipline="three-cushion")  # fmt: skip
    return client, address


@pytest.mark.django_db
def test_a_large_file_tells_how_far_it_is(monkeypatch):
    monkeypatch.setattr(import_progress, "FEW", 2)
    client, address = a_ready_file()
    answer = sent(client, address, action="write")
    assert answer.streaming
    page = b"".join(answer.streaming_content).decode()
    assert "2 of 2 matches are ready." in page
    assert page.index("All of it is in.") < page.index("See what came in") < page.index("</html>")
    assert Match.objects.count() == 2


@pytest.mark.django_db
def test_whoever_leaves_a_large_file_halfway_brings_nothing_in(monkeypatch):
    monkeypatch.setattr(import_progress, "FEW", 2)
    client, address = a_ready_file()
    told = sent(client, address, action="write")
    next(told.streaming_content)
    del told
    assert Match.objects.count() == 0
    assert "Bring it in" in client.get(address).content.decode()
