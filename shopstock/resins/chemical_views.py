from functools import partial

from django.contrib import messages
from django.db.models import IntegerField, OuterRef, QuerySet, Subquery, Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from shopstock.expiry import in_issue_order, with_last_day
from shopstock.listing import list_page
from shopstock.models import Chemical, Shop
from shopstock.queries import open_containers
from shopstock.roles import allow

from .cautions import caution_for
from .chemical_forms import ChemicalForm
from .tables import ChemicalTable, ContainerTable


def with_stock(chemicals: QuerySet[Chemical], *, on) -> QuerySet[Chemical]:
    """Annotate `in_date_g`: what may be used on the day."""
    usable = with_last_day(open_containers().filter(chemical=OuterRef("pk"))).filter(last_day__gte=on).order_by()
    total = usable.values("chemical").annotate(total=Sum("mass_g")).values("total")
    return chemicals.annotate(in_date_g=Subquery(total, output_field=IntegerField()))


@allow("look")
def chemicals(request: HttpRequest) -> HttpResponse:
    rows = with_stock(Chemical.objects.select_related("supplier"), on=timezone.localdate())
    return list_page(
        request, table_class=ChemicalTable, rows=rows, template="resins/chemicals.html", file_name="resin-products"
    )


@allow("look")
def chemical(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Chemical.objects.select_related("supplier"), pk=pk)
    shop, on = Shop.current(), timezone.localdate()
    containers = list(with_last_day(open_containers().filter(chemical=found)))
    usable = in_issue_order(containers, on=on)
    rest = [container for container in containers if container not in usable]
    table_of = partial(ContainerTable, on=on, warning_days=shop.resin_warning_days, units=shop.units, orderable=False)
    context = {
        "chemical": found,
        "caution": caution_for(found),
        "table": table_of(usable + rest, exclude=("chemical", "kind"), order_by=()),
        "in_date_g": sum(container.mass_g for container in usable),
    }
    return render(request, "resins/chemical.html", context)


@allow("edit materials")
def add_chemical(request: HttpRequest) -> HttpResponse:
    return _edit(request, Chemical(), "Add a resin product")


@allow("edit materials")
def edit_chemical(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Chemical, pk=pk)
    return _edit(request, found, f"Change {found}")


def _edit(request: HttpRequest, edited: Chemical, title: str) -> HttpResponse:
    form = ChemicalForm(request.POST or None, instance=edited, currency=Shop.current().currency)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"Saved {saved}.")
        return redirect("chemical", saved.pk)
    return render(request, "resins/chemical_form.html", {"form": form, "title": title, "chemical": edited})
