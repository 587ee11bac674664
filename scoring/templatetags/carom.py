"""Template library `carom`: `{% symbol "tick" %}`, `{% ball "white" %}`, `{% carom_table layout ... %}`."""

from django import template

from .symbols import ball_svg, symbol_svg

register = template.Library()


@register.simple_tag
def symbol(name, css_class=""):
    return symbol_svg(name, css_class)


@register.simple_tag
def ball(colour, css_class=""):
    return ball_svg(colour, css_class)
