"""Reading request bodies."""

from __future__ import annotations

from django.utils.translation import gettext as _
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser as FrameworkParser


class JSONParser(FrameworkParser):
    """JSON of a bounded depth; the size is bounded before it gets here."""

    def parse(self, stream, media_type=None, parser_context=None):
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError:
            raise ParseError(_("The body is nested too deep.")) from None
