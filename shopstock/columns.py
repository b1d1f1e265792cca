"""Columns and tables that every list shares: units on screen, plain numbers in the exported file."""

import django_tables2 as tables

from shopstock.calc import units


class ShopTable(tables.Table):
    """A table that knows the units the shop chose."""

    def __init__(self, *args, units: str = "metric", **kwargs):
        self.units = units
        super().__init__(*args, **kwargs)


class _QuantityColumn(tables.Column):
    def __init__(self, *args, **kwargs):
        kwargs.setdefault("attrs", {"td": {"class": "number"}, "th": {"class": "number"}})
        super().__init__(*args, **kwargs)

    def render(self, value, table):
        return self.shown(value, table.units)

    def value(self, value):
        return value


class LengthColumn(_QuantityColumn):
    shown = staticmethod(units.format_length)


class WidthColumn(_QuantityColumn):
    shown = staticmethod(units.format_width)


class MassColumn(_QuantityColumn):
    shown = staticmethod(units.format_mass)
