"""`{% orders_for roll as expecting %}`: orders on which something that came may be booked."""

from django import template

from shopstock.arrivals import orders_expecting

register = template.Library()
register.simple_tag(orders_expecting, name="orders_for")
