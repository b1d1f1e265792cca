from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from jobs.calc.constituents import RESIN_DATA, RESIN_NAMES
from jobs.calc.stand_in import STIFFNESS_METHOD
from jobs.laid_plies import materials_for
from jobs.lay_up_sheet import REFUSALS
from jobs.lay_up_text import LayUpTextError, read
from jobs.models import Job
from shopstock.models import Shop
from shopstock.roles import allow

from .forms import ChooseForm
from .offers import find_offers
from .side_by_side import MOST, compared


@allow("look")
def choose_fabric(request: HttpRequest) -> HttpResponse:
    form = ChooseForm(request.GET if "shape" in request.GET else None)
    context = {"form": form, "method": STIFFNESS_METHOD}
    if form.is_bound and form.is_valid():
        try:
            context["found"] = find_offers(form.cleaned_data, Shop.current(), timezone.now())
        except REFUSALS as error:
            form.add_error("reference", str(error))
    return render(request, "choosing/choose.html", context)


@allow("look")
def compare_lay_ups(request: HttpRequest) -> HttpResponse:
    texts = list(dict.fromkeys(request.GET.getlist("lay-up")))[: MOST + 1]
    resin, process = request.GET.get("resin", "polyester"), request.GET.get("process", Job.Process.HAND)
    context = {"method": STIFFNESS_METHOD, "resin": RESIN_NAMES.get(resin), "process": process}
    try:
        context["found"] = _compared(texts, resin, process)
    except (LayUpTextError, *REFUSALS) as error:
        context["problem"] = str(error)
    return render(request, "choosing/compare.html", context)


def _compared(texts: list[str], resin: str, process: str):
    if not 1 <= len(texts) <= MOST:
        raise LayUpTextError(f"Tick one to {MOST} lay-ups in the list, then compare.")
    if resin not in RESIN_DATA or process not in Job.Process.values:
        raise LayUpTextError("Choose the resin and the process in the list first.")
    return compared([read(text) for text in texts], process, materials_for(resin))
