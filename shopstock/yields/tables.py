from collections.abc import Iterable

import django_tables2 as tables

from shopstock.calc.area import format_area
from shopstock.columns import ShopTable

from .accounts import Row

ROUNDED_MM2 = 1_000  # what sharing a strip among jobs may round


class AreaColumn(tables.Column):
    """mm² in the row; m² or ft² on screen, m² in the file."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, attrs={"td": {"class": "number"}, "th": {"class": "number"}}, **kwargs)

    def render(self, value, table):
        if not value:
            return "–"
        return format_area(value, table.units)

    def value(self, value):
        return round(value / 1_000_000, 3)


class YieldTable(ShopTable):
    name = tables.Column()
    bought = AreaColumn(verbose_name="bought")
    parts = AreaColumn(verbose_name="parts")
    trimmed = AreaColumn(verbose_name="trimmed")
    kept = AreaColumn(verbose_name="kept as offcuts")
    scrapped = AreaColumn(verbose_name="scrapped")
    lost = AreaColumn(verbose_name="lost at recount")
    noted_elsewhere = AreaColumn(verbose_name="offcuts of another row")
    stock_change = AreaColumn(verbose_name="change of stock")
    yield_percent = tables.Column(verbose_name="yield", attrs={"td": {"class": "number"}, "th": {"class": "number"}})

    class Meta:
        empty_text = "Nothing was bought or cut in this time."
        orderable = False

    def render_yield_percent(self, value: float) -> str:
        return f"{value:.0f} %"


def table_by(by: str, rows: Iterable[Row]) -> type[YieldTable]:
    """The table headed by what its rows are; offcuts noted in another row than their cut are rare and shown then."""
    has_others = any(abs(row.noted_elsewhere) > ROUNDED_MM2 for row in rows)
    columns = {"name": tables.Column(verbose_name=by)} | ({} if has_others else {"noted_elsewhere": None})
    return type("YieldTable", (YieldTable,), columns)
