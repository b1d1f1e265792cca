from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from jobs.mix_plan import (
    CannotMix,
    Conditions,
    DoseError,
    PotLifeError,
    Sheet,
    bands_of,
    containers_for,
    product_of,
    ratio_of,
    seconds_for,
    sheet_of,
)
from jobs.models import Job, Mix
from jobs.queries import with_lay_up
from shopstock import ledger
from shopstock.calc.dose import middle_percent
from shopstock.calc.units import US, format_temperature
from shopstock.climate_reads import FRESH, last_reading, workshop
from shopstock.listing import list_page
from shopstock.models import Chemical, Shop
from shopstock.roles import allow, may

from .cautions import cautions_for
from .pot_actions import PotIsStale, Weighed, dose_warning, mix_pot
from .pot_forms import ConditionsForm, PotForm
from .tables import MixTable

STOPS = (CannotMix, DoseError, PotLifeError)


@allow("look")
def mixing_sheet(request: HttpRequest, job_pk: int, what: str) -> HttpResponse:
    if what not in Mix.What.values:
        raise Http404
    job = get_object_or_404(with_lay_up(Job.objects.all()), pk=job_pk)
    shop, at = Shop.current(), timezone.localtime()
    context = {"job": job, "what": what, "ratio": ratio_of(job, shop), "wide": True}
    try:
        product = product_of(job, what)
    except CannotMix as error:
        return render(request, "mixing/sheet.html", context | {"stop": str(error)})
    seconds = seconds_for(product)
    context |= {"product": product, "cautions": cautions_for(product), "is_catalyst": product.takes_catalyst}
    if not seconds:
        kind = "catalyst" if product.takes_catalyst else "hardener"
        return render(request, "mixing/sheet.html", context | {"stop": _no_second(product, kind)})
    form = conditions_form(request, product, seconds, shop, at)
    context["conditions_form"] = form
    if not form.is_valid():
        return render(request, "mixing/sheet.html", context)
    conditions = form.conditions()
    try:
        sheet = sheet_of(job, what, conditions, shop)
    except STOPS as error:
        return render(request, "mixing/sheet.html", context | {"stop": str(error)})
    return _next_pot(request, job, what, sheet, conditions, context, at)


def _no_second(product: Chemical, kind: str) -> str:
    if kind == "catalyst":
        return "No organic peroxide is in the list of products yet: add the catalyst first."
    return f"No hardener is noted for {product}: add it, and say on its page that it goes with this resin."


def conditions_form(request: HttpRequest, product: Chemical, seconds: list[Chemical], shop: Shop, at) -> ConditionsForm:
    """From the address, or begun with the last reading of the workshop and the middle of the data sheet's dose."""
    given = {name: request.GET[name] for name in ("temperature", "percent", "second") if request.GET.get(name)}
    unit = "°F" if shop.units == US else "°C"
    place = workshop()
    reading = last_reading(place, at) if place else None
    start: dict = {"second": seconds[0].pk}
    if reading is not None and at - reading.at <= FRESH:
        start["temperature"] = format_temperature(round(reading.temperature_c, 1), shop.units)
        percent = middle_percent(bands_of(product), reading.temperature_c)
        if percent is not None:
            start["percent"] = f"{percent:g}"
    if not given and "temperature" in start and ("percent" in start or not product.takes_catalyst):
        given = start
    return ConditionsForm(given or None, initial=start, product=product, seconds=seconds, unit=unit)


def _next_pot(
    request: HttpRequest, job: Job, what: str, sheet: Sheet, conditions: Conditions, context: dict, at
) -> HttpResponse:
    pot = sheet.next_pots[0]
    override = may(request.user, "take out of order")
    settings = {"pot": pot, "is_catalyst": sheet.product.takes_catalyst, "may_override": override}
    stopped = "out_of_order" in request.POST
    form = PotForm(request.POST or None, stopped=stopped, **settings)
    if request.method == "POST" and not may(request.user, "draw resin"):
        raise Http404
    if request.method == "POST" and form.is_valid():
        try:
            mix = _mix(job, what, conditions, form.cleaned_data, by=request.user, at=at)
        except PotIsStale as error:
            messages.error(request, str(error))
            return redirect(_address(job, what, conditions))
        except ledger.WrongContainer as error:
            form = PotForm(request.POST, stopped=True, **settings)
            form.add_error("resin" if error.first.chemical_id == sheet.product.pk else "second", str(error))
        except (*STOPS, ledger.LedgerError) as error:
            form.add_error(None, str(error))
        else:
            _say(request, mix, conditions)
            return redirect(_address(job, what, conditions))
    left_g = sum(ply.left_g for ply in sheet.plies)
    on = at.date()
    context |= {
        "sheet": sheet,
        "pot": pot,
        "later": sheet.next_pots[1:],
        "conditions": conditions,
        "form": form,
        "first": next(iter(containers_for(job, sheet.product, left_g, on)), None),
        "first_second": next(iter(containers_for(job, conditions.second, pot.weighing.second_g, on)), None),
    }
    return render(request, "mixing/sheet.html", context)


def _mix(job: Job, what: str, conditions: Conditions, data: dict, **who) -> Mix:
    resin = [Weighed(data["resin"], data["resin_g"])]
    if data.get("more"):
        resin.append(Weighed(data["more"], data["more_g"]))
    return mix_pot(
        job=job,
        what=what,
        number=data["number"],
        conditions=conditions,
        resin=resin,
        second=Weighed(data["second"], data["second_g"]),
        key=data["key"],
        out_of_order=data.get("out_of_order", ""),
        **who,
    )


def _say(request: HttpRequest, mix: Mix, conditions: Conditions) -> None:
    messages.success(request, f"Pot {mix.number} is noted: {mix.mixed_g} g. Note the time: its pot life runs.")
    warning = dose_warning(mix, conditions.percent)
    if warning:
        messages.warning(
            request, f"Pot {mix.number} has {mix.percent} % where {conditions.percent:g} % was asked: {warning}"
        )


def _address(job: Job, what: str, conditions: Conditions) -> str:
    query = {"temperature": f"{conditions.temperature_c:g} °C", "second": conditions.second.pk}
    if conditions.percent is not None:
        query["percent"] = f"{conditions.percent:g}"
    return f"{reverse('mix-job', args=[job.pk, what])}?{urlencode(query)}"


@allow("look")
def mixes_of_job(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_object_or_404(with_lay_up(Job.objects.all()), pk=job_pk)
    rows = job.mixes.select_related("by").prefetch_related("plies", "draws__movement__container__chemical")
    return list_page(
        request,
        table_class=MixTable,
        rows=rows,
        template="mixing/mixes.html",
        file_name=f"mixes-{job.pk}",
        job=job,
        ratio=ratio_of(job, Shop.current()),
    )
