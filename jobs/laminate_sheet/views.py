from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.laid_plies import laid_as, laid_plies_of, materials_for, resin_kind, sources_of
from jobs.lay_up_sheet import ISO, METHODS, REFUSALS, RULE, rule_figures, sheet_of, standard_table
from jobs.models import Job, Part
from jobs.models.material_properties import MATERIALS
from jobs.queries import with_lay_up
from shopstock.models import Chemical, Reinforcement
from shopstock.roles import allow

from .actions import back_to_defaults, every_material, properties_of, save_properties
from .forms import MOST_ROWS, USUAL_ROWS, PlyRow, PropertiesForm, SheetForm


class NoPlies(Exception):
    """Nothing to make a sheet of."""


@allow("look")
def laminate_sheet(request: HttpRequest) -> HttpResponse:
    """Any lay-up, written row by row; the address carries it, so that it can be kept or sent."""
    asked = request.GET if "process" in request.GET else None
    form = SheetForm(asked)
    rows = [PlyRow(asked, prefix=f"p{number}", number=number) for number in range(1, MOST_ROWS + 1)]
    context = {"form": form, "rows": rows, "usual_rows": rows[:USUAL_ROWS], "more_rows": rows[USUAL_ROWS:]}
    context["more_open"] = any(row["fabric"].value() or row.errors for row in rows[USUAL_ROWS:])
    if asked is not None and all([form.is_valid(), *(row.is_valid() for row in rows)]):
        context |= _of_rows(form.cleaned_data, rows)
    return render(request, "laminate_sheet/sheet.html", context)


def _of_rows(wanted: dict, rows: list[PlyRow]) -> dict:
    try:
        plies = [ply for row in rows for ply in _plies_of(row.cleaned_data, wanted["process"])]
        if not plies:
            return {"problem": "Choose a fabric for at least one ply."}
        materials = materials_for(wanted["resin"], wanted["woven_factor"])
        return sheet_context(plies, materials, wanted["method"], _resin_price(None, wanted["resin"]))
    except REFUSALS as error:
        return {"problem": str(error)}


def _plies_of(row: dict, process: str) -> list:
    if row["fabric"] is None:
        return []
    laid = laid_as(row["fabric"], row["direction"] or "0", process, row["share"])
    return [laid] * (row["times"] or 1)


@allow("look")
def part_laminate(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet of a part as its job says it."""
    part = get_object_or_404(Part.objects.select_related("job"), pk=pk)
    job = with_lay_up(Job.objects.filter(pk=part.job_id)).get()
    part = next(one for one in job.parts.all() if one.pk == pk)
    method = request.GET.get("method", RULE)
    context = {"part": part, "job": job}
    try:
        plies = laid_plies_of(part, job.process)
        materials = materials_for(resin_kind(job))
        price = _resin_price(job.resin, resin_kind(job))
        context |= sheet_context(plies, materials, method if method in METHODS else RULE, price)
    except (*REFUSALS, NoPlies) as error:
        context["problem"] = str(error)
    return render(request, "laminate_sheet/part.html", context)


def sheet_context(plies: list, materials, method: str, resin_price) -> dict:
    if not plies:
        raise NoPlies("This part has no plies yet. Add them first.")
    kinds = Reinforcement.objects.in_bulk({ply.fabric.key for ply in plies})
    prices = {pk: kind.price_per_m2 for pk, kind in kinds.items()}
    sheet = sheet_of(plies, materials, method, prices, resin_price)
    context = {"sheet": sheet, "method": METHODS[method], "method_key": method, "materials": materials}
    if method == ISO:
        return context | {"standard": standard_table(plies)}
    return context | {"rule": rule_figures(plies, materials), "sources": sources_of(plies, materials)}


def _resin_price(resin: Chemical | None, kind: str):
    """Per kg, of the job's product or the only one of its kind whose price is known."""
    known = Chemical.objects.filter(kind=kind, price_per_pack__isnull=False, pack_g__gt=0)
    products = list(known.filter(pk=resin.pk) if resin is not None else known[:2])
    return products[0].price_per_pack * 1000 / products[0].pack_g if len(products) == 1 else None


@allow("look")
def material_properties(request: HttpRequest) -> HttpResponse:
    return render(request, "laminate_sheet/properties.html", {"materials": every_material()})


@allow("edit properties")
def edit_properties(request: HttpRequest, material: str) -> HttpResponse:
    if material not in MATERIALS:
        raise Http404
    found = properties_of(material)
    form = PropertiesForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        save_properties(properties=form.instance, by=request.user, at=timezone.now())
        messages.success(request, f"Saved the figures of {MATERIALS[material]}.")
        return redirect("material-properties")
    context = {"form": form, "title": MATERIALS[material], "material": material, "own": found.pk is not None}
    return render(request, "laminate_sheet/edit_properties.html", context)


@allow("edit properties")
@require_POST
def default_properties(request: HttpRequest, material: str) -> HttpResponse:
    if material not in MATERIALS:
        raise Http404
    back_to_defaults(material=material)
    messages.success(request, f"{MATERIALS[material]} has its starting figures again.")
    return redirect("material-properties")
