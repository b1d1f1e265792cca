import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from shopstock import demand
from shopstock.may_come import cost_of_cloth, dies_within_a_year
from shopstock.models import Chemical, Reinforcement, Shop
from shopstock.outlooks import cloth_outlook, failing_cloth, failing_resin, resin_outlook
from shopstock.roles import allow
from shopstock.sizes_sold import currency_of, sizes_sold
from shopstock.stock_value import stock_value, totals
from shopstock.to_order_cloth import cloth_may_come, with_free_length
from shopstock.to_order_resin import resin_may_come, resin_stock

from .forms import CostsForm, DayForm, WidthForm


@allow("look")
def outlook(request: HttpRequest) -> HttpResponse:
    """What runs out when, the soonest first, then everything else."""
    on = timezone.localdate()
    cloth, resin = failing_cloth(on), failing_resin(on)
    kinds = with_free_length(Reinforcement.objects.filter(active=True), on).in_bulk()
    products = Chemical.objects.in_bulk()
    failing = [(kinds.get(pk) or Reinforcement.objects.get(pk=pk), "cloth-outlook", row) for pk, row in cloth.items()]
    failing += [(products[pk], "resin-outlook", row) for pk, row in resin.items()]
    context = {
        "on": on,
        "failing": sorted(failing, key=lambda item: (item[2].on, item[0].name)),
        "kinds": [kind for pk, kind in kinds.items() if pk not in cloth],
        "products": _in_date([product for pk, product in products.items() if pk not in resin], on),
    }
    return render(request, "outlook/outlook.html", context)


def _in_date(products: list[Chemical], on: datetime.date) -> list[tuple[Chemical, int]]:
    """Each with what is in the store and in date, in g."""
    stock = resin_stock([product.pk for product in products], on)
    return [
        (product, sum(item.mass_g for item in stock[product.pk] if item.received_on <= on <= item.expires_on))
        for product in products
    ]


@allow("look")
def cloth(request: HttpRequest, pk: int) -> HttpResponse:
    kind = get_object_or_404(Reinforcement.objects.select_related("supplier"), pk=pk)
    shop, on = Shop.current(), timezone.localdate()
    wrong, currency = cost_of_cloth(kind, shop), currency_of(kind.supplier, shop)
    form = CostsForm(request.GET if "short" in request.GET else None, currency=currency, wrong=wrong)
    if form.is_bound:
        wrong = form.wrong() if form.is_valid() else None
    context = {
        "kind": kind,
        "found": cloth_outlook(kind, on),
        "on": on,
        "may_come": cloth_may_come(kind, on, wrong),
        "form": form,
        "currency": currency,
        "size": kind.roll_length_mm,
        "pack": "roll",
        "over_words": f"{shop.keeping_percent.normalize():f} % of it for a year",
    }
    return render(request, "outlook/cloth.html", context)


@allow("look")
def resin(request: HttpRequest, pk: int) -> HttpResponse:
    product = get_object_or_404(Chemical.objects.select_related("supplier"), pk=pk)
    shop, on = Shop.current(), timezone.localdate()
    keeping = f"{shop.keeping_percent.normalize():f} % of it for a year"
    context = {
        "product": product,
        "found": resin_outlook(product, on),
        "on": on,
        "may_come": resin_may_come(product, on),
        "currency": currency_of(product.supplier, shop),
        "size": None,
        "pack": "pack",
        "over_words": "all of it, as it dies within a year" if dies_within_a_year(product) else keeping,
    }
    return render(request, "outlook/resin.html", context)


@allow("order")
def widths(request: HttpRequest, pk: int) -> HttpResponse:
    """The planned work of one fabric cut from new rolls of each width on offer."""
    kinds = Reinforcement.objects.select_related("supplier").prefetch_related("offers__supplier")
    kind, shop = get_object_or_404(kinds, pk=pk), Shop.current()
    currency = currency_of(kind.supplier, shop)
    form = WidthForm(request.GET or None, currency=currency)
    sizes = sizes_sold(kind, shop)
    if form.is_bound and form.is_valid():
        sizes += form.sizes(kind)
    tried = demand.try_sizes(kind.pk, sizes, timezone.localdate())
    known = [row for row in tried if not row.problem]
    costed = [row for row in known if row.cost is not None]
    mixed = len({row.size.currency for row in costed}) > 1
    context = {
        "kind": kind,
        "form": form,
        "tried": tried,
        "mixed": mixed,
        "cheapest": None if mixed or len(known) < 2 else min(costed, key=lambda row: row.cost, default=None),
        "least_waste": None if len(known) < 2 else min(known, key=lambda row: row.waste_percent),
        "many_suppliers": len({row.size.supplier for row in tried}) > 1,
    }
    return render(request, "outlook/widths.html", context)


@allow("order")
def value(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    form = DayForm(request.GET or None, today=today)
    day = form.cleaned_data["on"] if form.is_bound and form.is_valid() else today
    end = timezone.make_aware(datetime.datetime.combine(day, datetime.time.max))
    rows = stock_value(end)
    context = {
        "form": form if form.is_bound else DayForm(initial={"on": today}, today=today),
        "day": day,
        "rows": rows,
        "totals": totals(rows),
        "without": sum(row.without for row in rows),
    }
    return render(request, "outlook/value.html", context)
