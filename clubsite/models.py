"""Who signs in. What a person may do is a role, and lives in `scoring`."""

import uuid

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils.translation import gettext_lazy as _


class User(AbstractUser):
    """A sign-in name and a password.

    The name that others read belongs to the player, where it can be erased;
    so the two name columns of Django's own user are left out.
    """

    uuid = models.UUIDField(_("identifier"), default=uuid.uuid4, unique=True, editable=False)
    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]

    class Meta:
        verbose_name = _("user")
        verbose_name_plural = _("users")

    def get_full_name(self) -> str:
        return self.username

    def get_short_name(self) -> str:
        return self.username
