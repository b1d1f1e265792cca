from django import template
from django.urls import reverse
from django.utils.html import format_html

register = template.Library()


@register.simple_tag(takes_context=True)
def menu_link(context, name: str, words: str) -> str:
    """One line of the menu; the page that is open says so, to the eye and to a screen reader."""
    match = context["request"].resolver_match
    here = ' aria-current="page"' if match and match.url_name == name else ""
    return format_html('<li><a href="{}"{}>{}</a></li>', reverse(name), format_html(here), words)
