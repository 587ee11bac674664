"""Template library `carom`: `{% symbol "tick" %}`, `{% ball "white" %}`, `{% carom_table layout ... %}`."""

from django import template

from .symbols import ball_svg, symbol_svg
from .table_drawing import contact_words, table_svg

register = template.Library()


@register.simple_tag
def symbol(name, css_class=""):
    return symbol_svg(name, css_class)


@register.simple_tag
def ball(colour, css_class=""):
    return ball_svg(colour, css_class)


@register.simple_tag
def carom_table(layout=None, cue_ball=None, contacts=(), other=(), lying=False, label=""):
    """The table drawing; `contacts` and `other` are lines A and B (see table_drawing.table_svg)."""
    return table_svg(layout, cue_ball, contacts or (), other or (), lying=lying, label=label)


@register.simple_tag
def contacts_in_words(contacts):
    """The contacts as a list of words: `{% contacts_in_words stroke.contacts as words %}`."""
    return contact_words(contacts or ())
