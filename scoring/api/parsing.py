"""Reading request bodies."""

from __future__ import annotations

from django.conf import settings
from django.utils.translation import gettext as _
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser as FrameworkParser

from .exceptions import TooLarge


class JSONParser(FrameworkParser):
    """JSON of a bounded size and depth."""

    def parse(self, stream, media_type=None, parser_context=None):
        request = (parser_context or {}).get("request")
        length = request.META.get("CONTENT_LENGTH") if request is not None else None
        most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        if most is not None and length and length.isdigit() and int(length) > most:
            raise TooLarge(_("The body is too large: send at most %(most)s bytes.") % {"most": most})
        try:
            return super().parse(stream, media_type, parser_context)
        except RecursionError:
            raise ParseError(_("The body is nested too deep.")) from None
