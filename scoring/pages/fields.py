"""Fields and checks that several forms share."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from scoring.rules.said import Malformed

from .words import speak

# A family name, and room for the given ones before it.
NAME_LENGTH = 80


class NameField(forms.CharField):
    """A person's name: one line, something to read in it, at most 80 signs."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("max_length", NAME_LENGTH)
        super().__init__(**options)

    def to_python(self, value: Any) -> str:
        """Return the name with single spaces."""
        return " ".join(super().to_python(value).split())

    def validate(self, value: str) -> None:
        super().validate(value)
        if value and not (value.isprintable() and any(sign.isalnum() for sign in value)):
            raise ValidationError(_("Write a name with letters, without signs that cannot be seen."))


def parted(name: str) -> tuple[str, str]:
    """Return (given, family) of a name written in one line."""
    given, _space, family = name.rpartition(" ")
    return given, family


class PlainForm(forms.Form):
    """A form whose words are ours and whose fields say which of them is to be mended."""

    required_css_class = "needed"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        self.speak_plainly()

    def speak_plainly(self) -> None:
        """Give every field our words; a form that adds fields calls it again."""
        for field in self.fields.values():
            field.error_messages["required"] = _("This is needed.")
            # Limits are told by the codes of their checks, whatever field they stand at.
            field.error_messages["max_value"] = _("At most %(limit_value)s.")
            field.error_messages["min_value"] = _("At least %(limit_value)s.")
            field.error_messages["max_length"] = _("At most %(limit_value)s signs.")
            if "invalid_choice" in field.error_messages:
                field.error_messages["invalid_choice"] = _("Choose one of the list.")

    def wrong_fields(self) -> list[tuple[str, str, str]]:
        """Return (id of the control, label, sentence) of every field that is to be mended."""
        found = []
        for name, reasons in self.errors.items():
            if name == forms.forms.NON_FIELD_ERRORS:
                found += [("", "", str(reason)) for reason in reasons]
            else:
                bound = self[name]
                found += [(bound.id_for_label, str(bound.label), str(reason)) for reason in reasons]
        return found


class DayField(forms.DateField):
    """A day, picked or written."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        options.setdefault("error_messages", {"invalid": _("A day such as 2026-09-01 is needed here.")})
        super().__init__(**options)


def number(label: Any, most: int, help_text: Any = "", least: int = 0, **options: Any) -> forms.IntegerField:
    """Return a field for a whole number that may be left empty, unless said otherwise."""
    options.setdefault("required", False)
    return forms.IntegerField(label=label, min_value=least, max_value=most, help_text=help_text, **options)


def add_reason(form: forms.Form, field: str | None, refusal: Malformed) -> None:
    """Put what the rules say of a value beside the field of a form, or on top of it."""
    reason = speak(refusal.reason)
    sentence = reason[:1].upper() + reason[1:]
    form.add_error(field if field in form.fields else None, sentence)
