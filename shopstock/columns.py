"""Columns and tables that every list shares: units on screen, plain numbers in the exported file."""

from collections.abc import Iterator

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.text import capfirst

from shopstock.calc import units


class ShopTable(tables.Table):
    """A table that knows the units the shop chose."""

    def __init__(self, *args, units: str = "metric", **kwargs):
        self.units = units
        super().__init__(*args, **kwargs)

    def rows_of_cells(self) -> Iterator[list[tuple[SafeString, object]]]:
        """The rows of this page, each cell with the tag it opens with, which is the same all the way down a column."""
        openings = {column.name: _opening(column) for column in self.columns}
        for row in self.paginated_rows:
            yield [(openings[column.name], cell) for column, cell in row.items()]


def _opening(column: tables.columns.BoundColumn) -> SafeString:
    css_class = column.attrs["td"].get("class")
    as_class = format_html(' class="{}"', css_class) if css_class else ""
    return format_html('<td data-label="{}"{}>', capfirst(column.header), as_class)


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
