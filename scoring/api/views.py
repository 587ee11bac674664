"""What the views of the API share."""

from __future__ import annotations

import uuid as uuids
from collections.abc import Callable
from typing import Any

from django.db import IntegrityError, models, transaction
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers, status
from rest_framework.generics import GenericAPIView
from rest_framework.response import Response

from scoring.access import Actor, actor_of
from scoring.storable import fit_to_store

from .exceptions import Conflict
from .paging import LARGEST_ID, ByIdPagination


class IdField(serializers.IntegerField):
    """The id of a row: a JSON number, never text that looks like one."""

    default_error_messages = {"type": gettext_lazy("Send an id: a whole number.")}

    def __init__(self, **kwargs) -> None:
        super().__init__(min_value=1, max_value=LARGEST_ID, **kwargs)

    def to_internal_value(self, data):
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("type")
        return super().to_internal_value(data)


class TextField(serializers.CharField):
    """A short printable text: JSON text, one line, without control characters."""

    default_error_messages = {
        "type": gettext_lazy("Send text."),
        "unprintable": gettext_lazy("Leave out line breaks and control characters."),
    }

    def to_internal_value(self, data):
        if not isinstance(data, str):
            self.fail("type")
        text = super().to_internal_value(data)
        if not text.isprintable():
            self.fail("unprintable")
        return text


class ObjectField(serializers.DictField):
    """A JSON object whose names are judged further in."""

    default_error_messages = {"unfit": gettext_lazy("Leave out signs that no text can hold.")}

    def to_internal_value(self, data):
        found = super().to_internal_value(data)
        if not fit_to_store(found):
            self.fail("unfit")
        return found


@extend_schema_field({"oneOf": [{"type": "string"}, {"type": "object", "additionalProperties": {}}]})
class RuleSetField(serializers.Field):
    """A rule set: the code of one, or an object of settings."""

    default_error_messages = {
        "type": gettext_lazy("Send the code of a rule set, or an object of settings."),
        "unfit": gettext_lazy("Leave out signs that no text can hold."),
    }

    def to_internal_value(self, data):
        if not isinstance(data, str | dict):
            self.fail("type")
        if not fit_to_store(data):
            self.fail("unfit")
        return data


class UuidOnly(serializers.Serializer):
    """The optional uuid of whatever is created."""

    uuid = serializers.UUIDField(required=False)


class ScoringView(GenericAPIView):
    """A view that knows its actor."""

    pagination_class: type[ByIdPagination] | None = ByIdPagination

    @cached_property
    def actor(self) -> Actor:
        return actor_of(self.request)

    def read(self, serializer_class: type[serializers.BaseSerializer], **options) -> dict[str, Any]:
        """Return the validated body."""
        incoming = serializer_class(data=self.request.data, context=self.get_serializer_context(), **options)
        incoming.is_valid(raise_exception=True)
        return incoming.validated_data

    def body(self) -> dict[str, Any]:
        """Return the body as sent, which must be a JSON object."""
        data = self.request.data
        if not isinstance(data, dict):
            raise serializers.ValidationError({"non_field_errors": [_("Send one object.")]})
        return data

    @staticmethod
    def answer(data: Any) -> Response:
        return Response(data)

    def page(self, queryset: models.QuerySet, show: Callable[[Any], Any]) -> Response:
        """Answer one page of a list."""
        rows = self.paginate_queryset(self.filter_queryset(queryset))
        return self.get_paginated_response([show(row) for row in rows or []])

    def create_once(
        self,
        model: type[models.Model],
        may_see: Callable[[Any], bool],
        make: Callable[[], Any],
        show: Callable[[Any], Any],
    ) -> Response:
        """Answer 201 with what `make` creates; 200 with what the uuid of the body already names.

        `make` reads the body itself, so that a retry is answered even where the rest of it
        would no longer pass.
        """
        uuid = self.read(UuidOnly).get("uuid")
        found = self._known(model, uuid, may_see)
        if found is not None:
            return Response(show(found))
        try:
            with transaction.atomic():
                made = make()
        except IntegrityError:
            # The same request arrived twice at once, and the other one was first.
            found = self._known(model, uuid, may_see)
            if found is None:
                raise
            return Response(show(found))
        return Response(show(made), status=status.HTTP_201_CREATED)

    @staticmethod
    def _known(model: type[models.Model], uuid: uuids.UUID | None, may_see: Callable[[Any], bool]):
        found = None if uuid is None else model._default_manager.filter(uuid=uuid).first()
        if found is not None and not may_see(found):
            raise Conflict("uuid-taken", _("This uuid is taken. Send another one."))
        return found
