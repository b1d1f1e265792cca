import django_tables2 as tables

from shopstock.calc.units import format_length, format_mass
from shopstock.columns import LengthColumn, ShopTable
from shopstock.models import ContainerMovement, Movement

NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}
KIND_WORDS = dict(Movement.Kind.choices) | dict(ContainerMovement.Kind.choices)


class StockOnTable(ShopTable):
    reinforcement = tables.LinkColumn(
        "reinforcement", args=[tables.A("reinforcement")], accessor="reinforcement__name", verbose_name="fabric"
    )
    rolls = tables.Column(verbose_name="rolls and offcuts", attrs=NUMBER)
    length_mm = LengthColumn(verbose_name="length")

    class Meta:
        empty_text = "Nothing lay on the racks that day."


class TimelineTable(ShopTable):
    line_at = tables.DateTimeColumn(verbose_name="when", format="Y-m-d H:i:s")
    line_by = tables.Column(verbose_name="by")
    line_in = tables.Column(verbose_name="in")
    line_kind = tables.Column(verbose_name="what")
    line_of = tables.Column(verbose_name="of")
    line_change = tables.Column(verbose_name="change", empty_values=(), orderable=False, attrs=NUMBER)
    line_left = tables.Column(verbose_name="left", empty_values=(), orderable=False, attrs=NUMBER)
    line_why = tables.Column(verbose_name="why")

    class Meta:
        empty_text = "Nothing like that. Take a filter away."
        order_by = ("-line_at",)

    def render_line_kind(self, value: str) -> str:
        return KIND_WORDS.get(value, value)

    def render_line_change(self, value, record) -> str:
        return _shown(value, record["line_unit"], self.units) if value else ""

    def render_line_left(self, value, record) -> str:
        return _shown(value, record["line_unit"], self.units) if value is not None else ""

    def value_line_change(self, value, record) -> str:
        return f"{value} {record['line_unit']}" if value else ""

    def value_line_left(self, value, record) -> str:
        return f"{value} {record['line_unit']}" if value is not None else ""


def _shown(value: int, unit: str, units: str) -> str:
    show = format_mass if unit == "g" else format_length
    return f"−{show(-value, units)}" if value < 0 else show(value, units)
