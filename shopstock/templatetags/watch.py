"""`{{ item|at_risk:shop }}`: what a warning puts at risk, in the units and the currency of the shop."""

from django import template

from shopstock.models import Shop
from shopstock.watch_items import WatchItem

register = template.Library()


@register.filter
def at_risk(item: WatchItem, shop: Shop) -> str:
    return item.risk(shop.units, shop.currency)
