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
    password_handed_over = models.BooleanField(
        _("password handed over"),
        default=False,
        help_text=_("Somebody else knows the password; it is replaced at the next sign-in."),
    )
    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]

    class Meta:
        verbose_name = _("user")
        verbose_name_plural = _("users")

    def set_password(self, raw_password: str | None) -> None:
        """Set a password of the user's own; whoever hands one over says so afterwards."""
        super().set_password(raw_password)
        self.password_handed_over = False

    def get_full_name(self) -> str:
        return self.username

    def get_short_name(self) -> str:
        return self.username
