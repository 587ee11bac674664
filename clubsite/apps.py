from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class ClubsiteConfig(AppConfig):
    name = "clubsite"
    verbose_name = _("Club site")
