"""Words in the picture of a drill: they stay readable when the picture is turned round."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext

WIDTH = 160
register = template.Library()


@register.simple_tag(takes_context=True)
def word(context: dict[str, Any], x: int, y: int, text: str) -> SafeString:
    """`text` centred on x, which is counted from the other side for a left-hander."""
    return format_html(
        '<text x="{}" y="{}" font-family="Atkinson Hyperlegible Next, sans-serif" font-size="9" '
        'text-anchor="middle" fill="#1b2a30">{}</text>',
        WIDTH - x if context.get("is_left_handed") else x,
        y,
        gettext(text),
    )


@register.filter
def translated(text: str) -> str:
    """What a picture shows, for those who do not see it, in the language that is read."""
    return gettext(text.strip())
