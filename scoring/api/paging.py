"""Lists come in pages `{results, next}` that stay cheap however long the list is."""

from __future__ import annotations

from django.utils.translation import gettext as _
from drf_spectacular.utils import OpenApiParameter
from rest_framework.exceptions import ValidationError
from rest_framework.pagination import BasePagination
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

USUAL, MOST = 100, 500
LARGEST_ID = 2**63 - 1


def query_number(request, name: str, usual: int | None, low: int, high: int) -> int | None:
    """Return a whole number of the query string, `usual` where it is left out."""
    text = request.query_params.get(name)
    if text is None:
        return usual
    if not (text.isascii() and text.isdigit() and len(text) <= 19 and low <= int(text) <= high):
        raise ValidationError(
            {name: [_("Send a whole number from %(low)s to %(high)s.") % {"low": low, "high": high}]}
        )
    return int(text)


def number_from(name: str, low: int = 0, high: int = LARGEST_ID) -> OpenApiParameter:
    """Return the description of such a number for the schema."""
    kind = {"type": "integer", "minimum": low, "maximum": high}
    return OpenApiParameter(name, kind, OpenApiParameter.QUERY)


class ByIdPagination(BasePagination):
    """Pages by id: each begins where the one before ended, so that no row is counted or skipped.

    `newest_first` of the view reverses the order.
    """

    def paginate_queryset(self, queryset, request, view=None):
        self.request = request
        limit = self._number("limit", USUAL, 1, MOST)
        past = self._number("past", None, 0, LARGEST_ID)
        newest_first = getattr(view, "newest_first", False)
        if past is not None:
            queryset = queryset.filter(pk__lt=past) if newest_first else queryset.filter(pk__gt=past)
        rows = list(queryset.order_by("-pk" if newest_first else "pk")[: limit + 1])
        self.last = rows[limit - 1].pk if len(rows) > limit else None
        return rows[:limit]

    def _number(self, name: str, usual: int | None, low: int, high: int) -> int | None:
        return query_number(self.request, name, usual, low, high)

    def get_paginated_response(self, data):
        following = None
        if self.last is not None:
            following = replace_query_param(self.request.build_absolute_uri(), "past", self.last)
        return Response({"results": data, "next": following})

    def get_paginated_response_schema(self, schema):
        return {
            "type": "object",
            "required": ["results", "next"],
            "properties": {
                "results": schema,
                "next": {"type": "string", "format": "uri", "nullable": True},
            },
        }

    def get_schema_operation_parameters(self, view):
        return [
            {
                "name": "limit",
                "in": "query",
                "required": False,
                "description": "Rows a page.",
                "schema": {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL},
            },
            {
                "name": "past",
                "in": "query",
                "required": False,
                "description": "Go on after the row with this id; `next` holds the whole address.",
                "schema": {"type": "integer", "minimum": 0},
            },
        ]
