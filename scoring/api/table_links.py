"""Table links through the API: making, listing and revoking them, and entering by the code."""

from __future__ import annotations

from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response

from scoring.access import access_competition, managed_competitions, visible_competitions
from scoring.linking import do_make_link, do_note_use, do_revoke, find_by_code, last_use, links_of, spell_code
from scoring.models import PlayTable, TableLink

from .limits import CodeTries
from .views import IdField, ScoringView, TextField


class TableLinkIn(serializers.Serializer):
    """A link to make; without `expires` it ends a day after the competition's last day."""

    uuid = serializers.UUIDField(required=False)
    table = IdField()
    competition = IdField()
    expires = serializers.DateTimeField(required=False, allow_null=True)

    def validate_table(self, pk):
        table = PlayTable.objects.filter(pk=pk).first()
        if table is None:
            raise serializers.ValidationError(_("There is no such table."))
        return table

    def validate_competition(self, pk):
        actor = self.context["view"].actor
        # One that the reader may not know of is answered like one that is not there.
        found = visible_competitions(actor).select_related("club").filter(pk=pk).first()
        if found is None:
            raise serializers.ValidationError(_("There is no such competition."))
        return found


class TableLinkOut(serializers.Serializer):
    """A link; token, url and code are told once, in the answer that makes it.

    The token stands in the fragment of `url`, which no browser sends.
    """

    id = IdField(read_only=True)
    uuid = serializers.UUIDField(read_only=True)
    table = IdField(read_only=True, source="table_id")
    competition = IdField(read_only=True, source="competition_id")
    created_at = serializers.DateTimeField(read_only=True)
    expires = serializers.DateTimeField(read_only=True)
    last_used_at = serializers.DateTimeField(read_only=True, allow_null=True)
    revoked_at = serializers.DateTimeField(read_only=True, allow_null=True)
    token = serializers.CharField(read_only=True, allow_null=True)
    url = serializers.CharField(read_only=True, allow_null=True)
    code = serializers.CharField(read_only=True, allow_null=True)


class EnterIn(serializers.Serializer):
    """The code of a link, as it is printed; small letters, spaces and hyphens do not matter."""

    code = TextField(max_length=40)


class EnterOut(serializers.Serializer):
    """The token of a link, and what it opens."""

    token = serializers.CharField()
    table = IdField()
    competition = IdField()
    expires = serializers.DateTimeField()


class TableLinkFilter(filters.FilterSet):
    """Narrow the list of links."""

    table = filters.NumberFilter(field_name="table_id", min_value=1, max_value=2**63 - 1)
    competition = filters.NumberFilter(field_name="competition_id", min_value=1, max_value=2**63 - 1)

    class Meta:
        model = TableLink
        fields: list[str] = []


def address_of(request, token: str) -> str:
    """Return what the QR code shows: the page at the table, the token in the fragment."""
    return f"{request.build_absolute_uri(reverse('at-the-table'))}#{token}"


class TableLinksView(ScoringView):
    """The links that hold of the competitions that the reader organises."""

    queryset = TableLink.objects.none()
    serializer_class = TableLinkOut
    filterset_class = TableLinkFilter
    newest_first = True

    @extend_schema(operation_id="table_links_list", responses=TableLinkOut(many=True))
    def get(self, request):
        return self.page(links_of(self.actor), self._show_listed)

    @extend_schema(
        operation_id="table_links_create",
        request=TableLinkIn,
        responses={
            201: TableLinkOut,
            200: OpenApiResponse(TableLinkOut, "Known by its uuid; without token, url and code."),
        },
    )
    def post(self, request):
        return self.create_once(TableLink, self._may_see, self._make, self._show)

    def _may_see(self, link: TableLink) -> bool:
        return managed_competitions(self.actor).filter(pk=link.competition_id).exists()

    def _make(self) -> TableLink:
        asked = self.read(TableLinkIn)
        access_competition(self.actor, asked["competition"], "manage")
        return do_make_link(
            asked["competition"],
            asked["table"],
            user=self.actor.user,
            expires=asked.get("expires"),
            uuid=asked.get("uuid"),
        )

    def _show(self, link: TableLink) -> dict:
        token, code = link.fresh_token, link.fresh_code
        secret = {
            "token": token,
            "url": None if token is None else address_of(self.request, token),
            "code": None if code is None else spell_code(code),
        }
        return TableLinkOut(link).data | secret

    def _show_listed(self, link: TableLink) -> dict:
        link.last_used_at = last_use(link)
        return self._show(link)


class TableLinkView(ScoringView):
    """One link."""

    serializer_class = TableLinkOut

    @extend_schema(operation_id="table_links_revoke", responses={204: None})
    def delete(self, request, pk: int):
        link = get_object_or_404(TableLink.objects.select_related("competition"), pk=pk)
        access_competition(self.actor, link.competition, "manage")
        do_revoke([link.pk])
        return Response(status=status.HTTP_204_NO_CONTENT)


class EnterView(ScoringView):
    """Whoever types the code of a link is let in; wrong tries are few a minute."""

    serializer_class = EnterOut
    pagination_class = None

    @extend_schema(operation_id="table_links_enter", request=EnterIn, responses={200: EnterOut})
    def post(self, request):
        found = find_by_code(self.read(EnterIn)["code"])
        if found is None:
            # The same answer for one that never was, one that was revoked and one that has run out.
            raise serializers.ValidationError({"code": [_("This code opens no table.")]})
        link, token = found
        for tries in self._tries:
            tries.give_back(request)
        do_note_use(link)
        return Response(
            {
                "token": token,
                "table": link.table_id,
                "competition": link.competition_id,
                "expires": link.expires,
            }
        )

    def get_throttles(self):
        self._tries = [CodeTries()]
        return self._tries
