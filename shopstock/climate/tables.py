import django_tables2 as tables

from shopstock.calc.units import format_temperature
from shopstock.columns import ShopTable


class ReadingTable(ShopTable):
    at = tables.DateTimeColumn(format="Y-m-d H:i", verbose_name="when")
    shown = tables.Column(accessor="temperature_c", verbose_name="temperature", exclude_from_export=True)
    temperature_c = tables.Column(verbose_name="temperature_c", visible=False)
    humidity = tables.Column(verbose_name="humidity", default="not measured")
    source = tables.Column(accessor="get_source_display", verbose_name="how", order_by="source")
    by = tables.Column(default="", verbose_name="by")

    class Meta:
        order_by = "-at"
        empty_text = "No reading in this time."

    def render_shown(self, value) -> str:
        return format_temperature(value, self.units)

    def render_humidity(self, value) -> str:
        return f"{value.normalize():f} %"

    def value_humidity(self, value):
        return value

    def render_by(self, value, record) -> str:
        return str(record.sensor or value)
