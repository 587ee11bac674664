"""The description of the API is complete and sound."""

from __future__ import annotations

import pytest
from django.core.management import call_command

from tests import cast


def test_the_schema_is_valid_and_without_a_warning(tmp_path):
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", str(tmp_path / "schema.yml"))


@pytest.mark.django_db
def test_schema_and_documentation_are_served_to_anyone():
    assert cast.client_for().get("/api/schema/").status_code == 200
    page = cast.client_for().get("/api/docs/")
    assert page.status_code == 200
    assert b"//" not in page.content.replace(b"http://testserver", b"").replace(b"<!--", b"")
