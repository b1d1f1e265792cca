"""Codes and things as they are read aloud: `{{ roll.code|grouped }}`, `{{ item|called }}`."""

from django import template

from shopstock.calc.stock_code import group_code
from shopstock.models import Container, Roll

register = template.Library()


@register.filter
def grouped(code: str) -> str:
    return group_code(code)


@register.filter
def called(item: Roll | Container) -> str:
    """What the thing is, for a person who has it in hand."""
    if isinstance(item, Container):
        return f"container of {item.chemical.name}"
    return f"{item.get_kind_display()} of {item.reinforcement.name}"
