"""What an address asked for and a page has no field of."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django import template
from django.utils.translation import gettext, gettext_lazy

from analytics.pages.report_filter import Choice

register = template.Library()

_LABELS = {
    "discipline": gettext_lazy("Discipline"),
    "competition": gettext_lazy("Competition"),
    "table": gettext_lazy("Table"),
    "opponent": gettext_lazy("Opponent"),
}


@register.filter
def unoffered(wrong: Mapping[str, str], choices: Iterable[Choice] | str) -> list[str]:
    """Return what could not be read of the fields that a page does not show, a sentence each.

    choices : the fields of the filter; or names that the page shows by itself, with spaces between.
    """
    shown = set(choices.split()) if isinstance(choices, str) else {one.name for one in choices}
    return [
        gettext("%(field)s of the address was not understood: %(reason)s.")
        % {"field": label, "reason": wrong[name].rstrip(".")}
        for name, label in _LABELS.items()
        if name in wrong and name not in shown
    ]
