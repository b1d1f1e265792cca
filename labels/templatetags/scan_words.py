"""Codes and things as they are read aloud: `{{ roll.code|grouped }}`, `{{ item|called }}`."""

from django import template
from django.urls import reverse

from shopstock.calc.stock_code import group_code
from shopstock.models import Container, Place, Roll

register = template.Library()


@register.filter
def grouped(code: str) -> str:
    return group_code(code)


@register.filter
def called(item: Roll | Container | Place) -> str:
    """What the thing is, for a person who has it in hand."""
    if isinstance(item, Place):
        return f"{item.get_kind_display()} {item.name}"
    if isinstance(item, Container):
        return f"container of {item.chemical.name}"
    return f"{item.get_kind_display()} of {item.reinforcement.name}"


@register.filter
def picture_of(item: Roll | Container | Place) -> str:
    """The address of its label as a picture."""
    name = "roll" if isinstance(item, Roll) else "container" if isinstance(item, Container) else "place"
    return reverse(f"{name}-label-png", args=[item.code])
