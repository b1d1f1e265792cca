import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from shopstock.columns import ShopTable

UNBROKEN = {"td": {"class": "unbroken"}}
DAY = {"td": {"class": "day"}}
NUMBER = {"td": {"class": "number"}, "th": {"class": "number"}}


class OrderTable(ShopTable):
    """What to buy; the file holds the numbers apart from their words."""

    supplier = tables.Column(empty_values=(), visible=False, verbose_name="supplier")
    item = tables.Column(linkify=lambda record: reverse(record.page, args=[record.page_arg]), verbose_name="what")
    buy = tables.Column(verbose_name="buy")
    packs = tables.Column(visible=False, verbose_name="quantity")
    pack_name = tables.Column(visible=False, verbose_name="of what")
    amount = tables.Column(visible=False, verbose_name="size of one")
    reasons = tables.Column(verbose_name="for")
    needed_on = tables.DateColumn(format="Y-m-d", verbose_name="needed on", default="", attrs=UNBROKEN)
    order_by = tables.Column(empty_values=(), verbose_name="order by", attrs=DAY)
    days_late = tables.Column(visible=False, verbose_name="days late")
    lead_days = tables.Column(visible=False, verbose_name="lead time (days)")
    price = tables.Column(empty_values=(), verbose_name="each", attrs=NUMBER)
    cost = tables.Column(empty_values=(), verbose_name="cost", attrs=NUMBER)
    currency = tables.Column(empty_values=(), visible=False, verbose_name="currency")

    class Meta:
        orderable = False
        empty_text = "Nothing to buy."

    def __init__(self, *args, currency: str, **kwargs):
        self.currency = currency
        super().__init__(*args, **kwargs)

    def render_supplier(self, record) -> str:
        return str(record.supplier or "no supplier yet")

    def render_currency(self, record) -> str:
        return self.currency

    def render_reasons(self, value: tuple[str, ...]) -> str:
        return ". ".join(value)

    def render_order_by(self, record) -> str:
        if record.days_late:
            days = "1 day" if record.days_late == 1 else f"{record.days_late} days"
            return format_html('<span>{} <span class="tag bad">{} late</span></span>', record.order_by.day, days)
        return self.value_order_by(record)

    def value_order_by(self, record) -> str:
        if record.order_by:
            return str(record.order_by.day)
        if record.packs == 0:
            return ""
        return "now" if record.needed_on is None else "lead time not known"

    def render_price(self, record) -> str:
        return "no price yet" if record.price is None else f"{record.price:,.2f} {self.currency}"

    def value_price(self, record):
        return "" if record.price is None else f"{record.price:.2f}"

    def render_cost(self, record) -> str:
        return "not known" if record.cost is None else f"{record.cost:,.2f} {self.currency}"

    def value_cost(self, record):
        return "" if record.cost is None else f"{record.cost:.2f}"
