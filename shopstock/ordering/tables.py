import django_filters
import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from shopstock.columns import ShopTable
from shopstock.models import Order, Supplier

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
        self.shop_currency = currency
        super().__init__(*args, **kwargs)

    def currency_of(self, record) -> str:
        return (record.supplier and record.supplier.currency) or self.shop_currency

    def render_supplier(self, record) -> str:
        return str(record.supplier or "no supplier yet")

    def render_currency(self, record) -> str:
        return self.currency_of(record)

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
        return "no price yet" if record.each is None else f"{record.each:,.2f} {self.currency_of(record)}"

    def value_price(self, record):
        return "" if record.each is None else f"{record.each:.2f}"

    def render_cost(self, record) -> str:
        return "not known" if record.cost is None else f"{record.cost:,.2f} {self.currency_of(record)}"

    def value_cost(self, record):
        return "" if record.cost is None else f"{record.cost:.2f}"


class OrderListTable(ShopTable):
    number = tables.Column(linkify=True, accessor="number", order_by="pk", verbose_name="order")
    supplier = tables.Column(verbose_name="supplier")
    state = tables.Column(verbose_name="state")
    pack_count = tables.Column(verbose_name="rolls and packs", default="0", attrs=NUMBER)
    expected_on = tables.DateColumn(format="Y-m-d", verbose_name="expected on", default="", attrs=UNBROKEN)
    made_at = tables.DateTimeColumn(format="Y-m-d", verbose_name="written on", attrs=UNBROKEN)

    class Meta:
        empty_text = "No order yet."


class OrderListFilter(django_filters.FilterSet):
    state = django_filters.ChoiceFilter(choices=Order.State.choices, empty_label="any state", label="State")
    supplier = django_filters.ModelChoiceFilter(queryset=Supplier.objects.all(), empty_label="any", label="Supplier")

    class Meta:
        model = Order
        fields = ["state", "supplier"]


class OrderLineTable(ShopTable):
    """The lines of one order, for its file: numbers apart from words."""

    order_number = tables.Column(empty_values=(), verbose_name="order")
    material = tables.Column(verbose_name="what")
    packs = tables.Column(verbose_name="quantity")
    of = tables.Column(empty_values=(), verbose_name="of what")
    width_mm = tables.Column(verbose_name="width (mm)", default="")
    length_mm = tables.Column(verbose_name="length (mm)", default="")
    pack_g = tables.Column(verbose_name="mass of a pack (g)", default="")
    price = tables.Column(verbose_name="each", default="")
    cost = tables.Column(verbose_name="together", default="")
    currency = tables.Column(empty_values=(), verbose_name="currency")
    expected = tables.Column(empty_values=(), verbose_name="deliver by")

    class Meta:
        orderable = False

    def __init__(self, *args, order: Order, **kwargs):
        self.order = order
        super().__init__(*args, **kwargs)

    def render_order_number(self) -> str:
        return self.order.number

    def render_of(self, record) -> str:
        return "pack" if record.chemical_id else "roll"

    def render_currency(self) -> str:
        return self.order.currency

    def render_expected(self) -> str:
        return str(self.order.expected_on or "")
