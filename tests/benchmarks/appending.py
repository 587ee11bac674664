"""Appending an entry, against a bare view that inserts one row."""

from __future__ import annotations

import uuid

from tests.benchmarks.bench import database, interleaved, tell


def bare_view():
    """Return a view that authenticates the same device, validates a body and inserts one row."""
    from rest_framework import serializers
    from rest_framework.response import Response
    from rest_framework.views import APIView

    from scoring.api.authentication import BearerAuthentication
    from scoring.models import ExternalNumber, Player

    class Body(serializers.ModelSerializer):
        class Meta:
            model = ExternalNumber
            fields = ["issuer", "number"]

    player = Player.objects.enrol("Ada", "Bare")

    class Bare(APIView):
        authentication_classes = [BearerAuthentication]
        permission_classes = []

        def post(self, request):
            body = Body(data=request.data)
            body.is_valid(raise_exception=True)
            row = body.save(player=player)
            return Response({"id": row.pk}, status=201)

    return Bare.as_view()


def main() -> None:
    with database():
        from django.test import override_settings
        from django.urls import include, path

        from tests.benchmarks.table import Device

        device = Device("appending")
        urls = [path("", include("clubsite.urls")), path("bare/", bare_view())]

        def bare() -> None:
            body = {"issuer": "bench", "number": str(uuid.uuid4())}
            answer = device.client.post("/bare/", body, format="json")
            assert answer.status_code == 201, answer.content

        with override_settings(ROOT_URLCONF=type("Urls", (), {"urlpatterns": urls})):
            plain, entry = interleaved(400, bare, device.inning)
        ratio = tell("an entry", entry) / tell("a bare view that inserts one row", plain)
        print(f"An entry takes {ratio:.2f} times as long as a bare insert (goal: at most 2).")


if __name__ == "__main__":
    main()
