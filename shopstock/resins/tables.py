import datetime

import django_tables2 as tables
from django.utils.html import format_html

from shopstock.columns import MassColumn, ShopTable
from shopstock.expiry import IN_DATE, PAST, state_of
from shopstock.models import Chemical, Container, ContainerMovement

UNBROKEN = {"td": {"class": "unbroken"}, "th": {"class": "unbroken"}}


def days(number: int) -> str:
    return "1 day" if number == 1 else f"{number} days"


class ContainerTable(ShopTable):
    code = tables.Column(linkify=("container", [tables.A("code")]), verbose_name="container")
    chemical = tables.Column(verbose_name="product", accessor="chemical__name", order_by="chemical__name")
    kind = tables.Column(accessor="chemical__get_kind_display", order_by="chemical__kind", verbose_name="kind")
    batch = tables.Column(verbose_name="batch")
    left = MassColumn(accessor="mass_g", exclude_from_export=True, verbose_name="left")
    mass_g = tables.Column(verbose_name="left (g)", visible=False)
    expires_on = tables.DateColumn(format="Y-m-d", verbose_name="use by", order_by="last_day", attrs=UNBROKEN)
    state = tables.Column(empty_values=(), order_by="last_day", verbose_name="date", attrs=UNBROKEN)
    opened_on = tables.DateColumn(format="Y-m-d", verbose_name="opened", default="sealed", attrs=UNBROKEN)
    place = tables.Column(default="no place", verbose_name="place")

    class Meta:
        empty_text = "No container here. Receive one, or widen the search."
        order_by = "expires_on"

    def __init__(self, *args, on: datetime.date, warning_days: int, **kwargs):
        self.on = on
        self.warning_days = warning_days
        super().__init__(*args, **kwargs)

    def value_state(self, record: Container) -> str:
        return state_of(record, on=self.on, warning_days=self.warning_days)

    def render_state(self, record: Container) -> str:
        if not record.is_open:
            return "gone"
        state, left = self.value_state(record), (record.expires_on - self.on).days
        if state == PAST:
            return format_html('<span class="tag bad">{} past</span>', days(-left))
        text = "last day" if left == 0 else f"{days(left)} left"
        return text if state == IN_DATE else format_html('<span class="tag bad">{}</span>', text)


class MovementTable(ShopTable):
    happened_at = tables.DateTimeColumn(format="Y-m-d H:i", verbose_name="when")
    kind = tables.Column(accessor="get_kind_display", verbose_name="what")
    delta_g = MassColumn(verbose_name="change")
    balance_after_g = MassColumn(verbose_name="left")
    by = tables.Column(verbose_name="by")
    reason = tables.Column(verbose_name="reason", default="")

    class Meta:
        orderable = False

    def render_delta_g(self, record: ContainerMovement) -> str:
        sign = "+" if record.delta_g > 0 else "−" if record.delta_g < 0 else ""
        return f"{sign}{MassColumn.shown(abs(record.delta_g), self.units)}"


class ChemicalTable(ShopTable):
    name = tables.Column(linkify=("chemical", [tables.A("pk")]), verbose_name="product")
    kind = tables.Column(accessor="get_kind_display", order_by="kind", verbose_name="kind")
    in_date = MassColumn(accessor="in_date_g", exclude_from_export=True, verbose_name="in date, in the store")
    in_date_g = tables.Column(verbose_name="in date, in the store (g)", visible=False)
    pack = MassColumn(accessor="pack_g", exclude_from_export=True, verbose_name="sold in packs of")
    pack_g = tables.Column(verbose_name="pack (g)", visible=False)
    minimum_g = tables.Column(verbose_name="keep at least (g)", visible=False)
    supplier = tables.Column(default="none yet", verbose_name="supplier")

    class Meta:
        model = Chemical
        fields = []
        empty_text = "No product yet. Add the first one."
