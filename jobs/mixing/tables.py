import django_tables2 as tables
from django.utils.html import format_html_join

from jobs.models import Mix
from shopstock.columns import MassColumn, ShopTable


class MixTable(ShopTable):
    number = tables.Column(verbose_name="pot")
    what = tables.Column(accessor="get_what_display", verbose_name="of", orderable=False)
    at = tables.DateTimeColumn(format="Y-m-d H:i", verbose_name="when")
    mixed = MassColumn(accessor="mixed_g", exclude_from_export=True, verbose_name="weighed")
    mixed_g = tables.Column(verbose_name="weighed (g)", visible=False)
    reinforcement_g = MassColumn(verbose_name="into reinforcement")
    percent = tables.Column(verbose_name="catalyst", default="hardener")
    temperature_c = tables.Column(verbose_name="shop (°C)")
    plies = tables.Column(accessor="pk", verbose_name="for", orderable=False)
    drawn = tables.Column(accessor="pk", verbose_name="from", orderable=False)
    by = tables.Column(verbose_name="by")

    class Meta:
        empty_text = "Nothing was mixed for this job yet."

    def render_percent(self, value) -> str:
        return f"{value} %"

    def value_percent(self, value):
        return value

    def render_plies(self, record: Mix) -> str:
        return ", ".join(ply.name for ply in record.plies.all())

    def render_drawn(self, record: Mix) -> str:
        lines = [(draw.movement.container, -draw.movement.delta_g) for draw in record.draws.all()]
        cells = ((c.get_absolute_url(), c.code, f"{g} g", c.batch or "no batch") for c, g in lines)
        return format_html_join(" ", '<a class="code" href="{}">{}</a> {} ({})', cells)

    def value_drawn(self, record: Mix) -> str:
        draws = ((draw.movement.container, -draw.movement.delta_g) for draw in record.draws.all())
        return "; ".join(f"{c.code} {g} g, batch {c.batch or 'not noted'}" for c, g in draws)
