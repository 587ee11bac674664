"""`manage.py makemessages -l nl`: collect what people read, the sentences of the rules too."""

from typing import Any

from django.core.management.commands import makemessages


class Command(makemessages.Command):
    """Django's own, which also knows `said("...")` in Python and JavaScript."""

    xgettext_options = [*makemessages.Command.xgettext_options, "--keyword=said"]

    def handle(self, *args: Any, **options: Any) -> None:
        options["ignore_patterns"] = [*options["ignore_patterns"], "tests", "fixtures"]
        super().handle(*args, **options)
