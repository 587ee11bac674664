"""Answers of the API that the framework has no name for."""

from __future__ import annotations

from rest_framework import status
from rest_framework.exceptions import APIException


class Conflict(APIException):
    """409: the ledger has moved on, or the state forbids it."""

    status_code = status.HTTP_409_CONFLICT

    def __init__(self, code: str, reason: str) -> None:
        super().__init__(detail={"code": code, "reason": reason}, code=code)


class TooLarge(APIException):
    """413: the body is larger than any list of entries."""

    status_code = status.HTTP_413_REQUEST_ENTITY_TOO_LARGE
    default_code = "too-large"
