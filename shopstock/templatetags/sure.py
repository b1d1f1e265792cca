"""How sure a length is, in words: `{{ roll.estimate|sure:shop.units }}` gives "35.1 m, give or take 0.4 m"."""

from django import template

from shopstock.calc.uncertainty import Estimate, amounts, in_words

register = template.Library()


@register.filter
def sure(estimate: Estimate, system: str) -> str:
    return in_words(estimate.length_mm, estimate.uncertainty_mm, system)


@register.filter
def doubt(estimate: Estimate, system: str) -> str:
    """The "give or take" alone: "0.4 m"."""
    return amounts(estimate.length_mm, estimate.uncertainty_mm, system)[1]
