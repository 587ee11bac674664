"""The API as its own description tells it, read once for all that draw requests from it."""

from __future__ import annotations

import schemathesis
from drf_spectacular.generators import SchemaGenerator

SCHEMA = schemathesis.openapi.from_dict(SchemaGenerator().get_schema(request=None, public=True))
OPERATIONS = {f"{one.ok().method.upper()} {one.ok().path}": one.ok() for one in SCHEMA.get_all_operations()}
