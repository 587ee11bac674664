"""Sentences the rules say, kept apart from their language.

The rules import no web framework, so they cannot translate. They answer with a
template and its parameters; the edge (pages, API) translates the template.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field


def said(template: str, /, **params: object) -> Said:
    """Mark `template` for translation and bind its parameters.

    Parameters are named, `%(name)s`; `makemessages --keyword=said` collects them.
    """
    return Said(template, params)


@dataclass(frozen=True)
class Said:
    """A sentence: an English template and the values that go into it."""

    template: str
    params: Mapping[str, object] = field(default_factory=dict)

    def __str__(self) -> str:
        return self.into(lambda text: text)

    def into(self, translate: Callable[[str], str]) -> str:
        """Return the sentence in the language of `translate`; nested sentences too."""
        params = {
            name: value.into(translate) if isinstance(value, Said) else value
            for name, value in self.params.items()
        }
        text = translate(self.template)
        return text % params if params else text


class Malformed(ValueError):
    """A value that cannot be read: which field, and what to do about it."""

    def __init__(self, field_name: str, reason: Said) -> None:
        super().__init__(f"{field_name}: {reason}")
        self.field = field_name
        self.reason = reason
