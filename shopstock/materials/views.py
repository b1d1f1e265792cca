from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django_tables2 import RequestConfig

from shopstock.catalogue import save_reinforcement
from shopstock.ledger.standing import flammables_in, has_limit, limit_l
from shopstock.listing import list_page
from shopstock.models import Place, Reinforcement, Shop, Supplier
from shopstock.on_racks import surely_free_mm
from shopstock.queries import open_containers, open_rolls
from shopstock.roles import allow

from .forms import PlaceForm, ReinforcementForm, SupplierForm
from .queries import places_with_counts, promised_lengths, reinforcements_with_stock, suppliers_with_counts
from .tables import (
    ContainersInPlace,
    PlaceFilter,
    PlaceTable,
    ReinforcementFilter,
    ReinforcementTable,
    RollsInPlace,
    RollsOfReinforcement,
    SupplierFilter,
    SupplierTable,
)


@allow("look")
def reinforcements(request: HttpRequest) -> HttpResponse:
    return list_page(
        request,
        table_class=ReinforcementTable,
        filter_class=ReinforcementFilter,
        rows=reinforcements_with_stock(timezone.localdate()),
        template="materials/reinforcements.html",
        file_name="fabrics",
    )


@allow("look")
def reinforcement(request: HttpRequest, pk: int) -> HttpResponse:
    on = timezone.localdate()
    found = get_object_or_404(reinforcements_with_stock(on), pk=pk)
    rolls = RollsOfReinforcement(
        open_rolls().filter(reinforcement=found), units=Shop.current().units, order_by=request.GET.get("sort")
    )
    RequestConfig(request, paginate={"per_page": 25, "silent": True}).configure(rolls)
    return render(
        request,
        "materials/reinforcement.html",
        {
            "reinforcement": found,
            "rolls": rolls,
            "promised": promised_lengths(found),
            "surely_free_mm": surely_free_mm(found, on),
        },
    )


@allow("edit materials")
def add_reinforcement(request: HttpRequest) -> HttpResponse:
    return _edit_reinforcement(request, Reinforcement(), title="Add a fabric")


@allow("edit materials")
def edit_reinforcement(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Reinforcement, pk=pk)
    return _edit_reinforcement(request, found, title=found.name)


def _edit_reinforcement(request: HttpRequest, found: Reinforcement, *, title: str) -> HttpResponse:
    form = ReinforcementForm(request.POST or None, instance=found, currency=Shop.current().currency)
    if request.method == "POST" and form.is_valid():
        saved = save_reinforcement(form.instance, form.cleaned_data["layer_weights"])
        messages.success(request, f"Saved {saved}.")
        return redirect(saved)
    return render(
        request, "shopstock/edit.html", {"form": form, "title": title, "back": "reinforcements", "wide": True}
    )


@allow("look")
def suppliers(request: HttpRequest) -> HttpResponse:
    return list_page(
        request,
        table_class=SupplierTable,
        filter_class=SupplierFilter,
        rows=suppliers_with_counts(),
        template="materials/suppliers.html",
        file_name="suppliers",
    )


@allow("look")
def supplier(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Supplier, pk=pk)
    fabrics = ReinforcementTable(
        reinforcements_with_stock(timezone.localdate()).filter(supplier=found),
        units=Shop.current().units,
        exclude=["supplier"],
    )
    RequestConfig(request, paginate={"per_page": 25, "silent": True}).configure(fabrics)
    return render(request, "materials/supplier.html", {"supplier": found, "fabrics": fabrics})


@allow("edit materials")
def add_supplier(request: HttpRequest) -> HttpResponse:
    return _edit_named(request, SupplierForm, Supplier(), title="Add a supplier", back="suppliers")


@allow("edit materials")
def edit_supplier(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Supplier, pk=pk)
    return _edit_named(request, SupplierForm, found, title=found.name, back="suppliers")


@allow("look")
def places(request: HttpRequest) -> HttpResponse:
    return list_page(
        request,
        table_class=PlaceTable,
        filter_class=PlaceFilter,
        rows=places_with_counts(),
        template="materials/places.html",
        file_name="places",
    )


@allow("look")
def place(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Place, pk=pk)
    shop = Shop.current()
    there = open_containers().filter(place=found)
    rolls = RollsInPlace(open_rolls().filter(place=found), units=shop.units)
    containers = ContainersInPlace(there, units=shop.units, prefix="c-")
    for table in (rolls, containers):
        RequestConfig(request, paginate={"per_page": 25, "silent": True}).configure(table)
    context = {"place": found, "rolls": rolls, "containers": containers}
    if has_limit(found):
        context |= {"flammables": flammables_in(there), "limit_l": limit_l(found, shop)}
    return render(request, "materials/place.html", context)


@allow("edit places")
def add_place(request: HttpRequest) -> HttpResponse:
    return _edit_named(request, PlaceForm, Place(), title="Add a place", back="places")


@allow("edit places")
def edit_place(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Place, pk=pk)
    return _edit_named(request, PlaceForm, found, title=found.name, back="places")


def _edit_named(request: HttpRequest, form_class, found, *, title: str, back: str) -> HttpResponse:
    form = form_class(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, f"Saved {form.instance.name}.")
        return redirect(back)
    return render(request, "shopstock/edit.html", {"form": form, "title": title, "back": back})
