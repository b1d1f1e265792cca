from django import template
from django.urls import reverse
from django.utils.html import format_html

register = template.Library()


@register.simple_tag(takes_context=True)
def menu_link(context, name: str, words: str) -> str:
    """One line of the menu; the page that is open says so, to the eye and to a screen reader."""
    match = context["request"].resolver_match
    is_here = match is not None and match.url_name == name
    line = '<li><a href="{}" aria-current="page">{}</a></li>' if is_here else '<li><a href="{}">{}</a></li>'
    return format_html(line, reverse(name), words)
