"""Forget a person: the figures stay, the name goes."""

from __future__ import annotations

from django.core.management.base import BaseCommand, CommandError, CommandParser

from scoring.forgetting import do_forget
from scoring.models import Player


class Command(BaseCommand):
    help = "Erase a player's name, numbers and log-in. Scores and averages stay; it cannot be taken back."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("player", type=int, help="the number in the address of the player's page")
        parser.add_argument(
            "--remarks", action="store_true", help="erase what was remarked in the player's matches too"
        )

    def handle(self, *args, **options) -> None:
        player = Player.objects.filter(pk=options["player"]).first()
        if player is None:
            raise CommandError(f"There is no player {options['player']}.")
        found = do_forget(player, texts=options["remarks"])
        self.stdout.write(
            f"Player {player.pk} is forgotten: {found['names']} name, {found['numbers']} numbers, "
            f"{found['remarks']} remarks erased."
        )
