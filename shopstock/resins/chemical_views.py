from functools import partial
from io import BytesIO

from django.contrib import messages
from django.db.models import IntegerField, OuterRef, QuerySet, Subquery, Sum
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from shopstock.cautions import caution_for
from shopstock.expiry import in_issue_order, with_last_day
from shopstock.listing import list_page
from shopstock.models import Chemical, DataSheet, Shop
from shopstock.queries import open_containers
from shopstock.roles import allow

from .actions import add_data_sheet, save_chemical
from .chemical_forms import ChemicalForm, SheetForm
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
        "sheets": found.data_sheets.defer("content"),
        "hardeners": found.hardeners.all(),
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
        saved = save_chemical(form)
        messages.success(request, f"Saved {saved}.")
        return redirect("chemical", saved.pk)
    return render(request, "resins/chemical_form.html", {"form": form, "title": title, "chemical": edited})


@allow("edit materials")
def add_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Chemical, pk=pk)
    form = SheetForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        sheet = add_data_sheet(chemical=found, by=request.user, at=timezone.now(), **form.cleaned_data)
        messages.success(request, f"Kept: {sheet}.")
        return redirect(found)
    return render(request, "resins/sheet_form.html", {"form": form, "chemical": found})


@allow("look")
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """The PDF itself; never shown as anything else, whatever it holds."""
    found = get_object_or_404(DataSheet, pk=pk)
    return FileResponse(
        BytesIO(bytes(found.content)), content_type="application/pdf", as_attachment=True, filename=f"{found.title}.pdf"
    )


@require_POST
@allow("edit materials")
def remove_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(DataSheet.objects.select_related("chemical").defer("content"), pk=pk)
    found.delete()
    messages.success(request, f"{found} is not kept any more.")
    return redirect(found.chemical)
