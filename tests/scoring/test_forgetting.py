"""A person is forgotten, and the record still proves itself."""

import pytest
from django.core.management import CommandError, call_command

from scoring.models import EntryText, ExternalNumber, Player
from scoring.rebuilding import do_rebuild
from tests.cast import make_match, make_player, make_user
from tests.scoring.pages.writing import innings, opened, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def player():
    player = make_player("Quendal", user=make_user(), consent="full", published=True)
    ExternalNumber.objects.create(player=player, issuer="league", number="7")
    match = opened(make_match(player, make_player("Vilemeer")))
    first, *_ = innings(match, 2, 1)
    write(match, "inning", run=3, instead_of=first, why="Quendal said so")
    return player


def test_the_name_goes_and_the_figures_stay(player, capsys):
    figures = list(player.colour_projections.values_list("points", "innings"))
    call_command("forget_player", str(player.pk), "--remarks")
    assert "1 name, 1 numbers, 1 remarks erased" in capsys.readouterr().out
    forgotten = Player.objects.get(pk=player.pk)
    assert forgotten.shown_name(True) == f"Player {player.pk}"
    assert (forgotten.user, forgotten.published) == (None, False)
    assert list(forgotten.colour_projections.values_list("points", "innings")) == figures == [(3, 1)]
    assert do_rebuild(player.colour_projections.get().match_id) == []


def test_remarks_stay_unless_that_was_asked_for(player):
    call_command("forget_player", str(player.pk))
    assert EntryText.objects.count() == 1


def test_who_is_not_there_cannot_be_forgotten():
    with pytest.raises(CommandError, match="no player 404"):
        call_command("forget_player", "404")
