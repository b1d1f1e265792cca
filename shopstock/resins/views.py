from collections.abc import Callable
from functools import partial
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from shopstock import ledger
from shopstock.aged_life import aged_life
from shopstock.calc.stock_code import check_code, normalise_code
from shopstock.calc.units import format_mass
from shopstock.cautions import caution_for
from shopstock.expiry import IN_DATE, PAST, reason_of, state_of, to_take_before, with_last_day
from shopstock.ledger.standing import breaches_at, sentences
from shopstock.listing import list_page
from shopstock.models import Chemical, Container, Shop
from shopstock.roles import allow, may

from .actions import receive_alike
from .actions import weigh as weigh_container
from .filters import ContainerFilter
from .forms import (
    DisposeForm,
    DrawForm,
    LifeTestForm,
    LossForm,
    MoveForm,
    OpenedForm,
    ReceiveForm,
    WeighForm,
)
from .tables import ContainerTable, MovementTable


@allow("look")
def resins(request: HttpRequest) -> HttpResponse:
    day = {"on": timezone.localdate(), "warning_days": Shop.current().resin_warning_days}
    return list_page(
        request,
        table_class=partial(ContainerTable, **day),
        filter_class=partial(ContainerFilter, **day),
        rows=with_last_day(Container.objects.select_related("chemical", "place")),
        template="resins/resins.html",
        file_name="resins",
    )


# What an address may fill in, such as that of a scanned delivery; the form checks it like anything typed.
MAY_BE_GIVEN = ("chemical", "batch", "net", "label_date", "made_on", "supplier")


@allow("receive resin")
def receive(request: HttpRequest) -> HttpResponse:
    shop, at = Shop.current(), timezone.localtime()
    start = {name: request.GET[name] for name in MAY_BE_GIVEN if name in request.GET}
    form = ReceiveForm(request.POST or None, initial=start, on=at.date(), units=shop.units)
    if request.method == "POST" and form.is_valid():
        wish = {name: form.cleaned_data[name] for name in RECEIVED}
        try:
            weights = {"tare_g": form.cleaned_data["tare"], "gross_g": form.cleaned_data["gross"]}
            reason = form.cleaned_data["note_of_place"]
            made = receive_alike(**wish, **weights, reason=reason, by=request.user, at=at)
        except ledger.LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _received(made, shop.units))
            return redirect(made[0] if len(made) == 1 else f"{reverse('resins')}?{urlencode({'words': wish['batch']})}")
    context = {"form": form, "no_products": not Chemical.objects.exists()}
    return render(request, "resins/receive.html", context)


RECEIVED = (
    "chemical", "batch", "mass_g", "label_date", "label_precision", "made_on", "vessel", "received_on", "opened_on",
    "supplier", "place", "count", "key",
)  # fmt: skip


def _received(made: list[Container], units: str) -> str:
    mass, codes = format_mass(made[0].mass_g, units), ", ".join(container.code for container in made)
    return f"{made[0].chemical}, {mass} each: {codes}. Label it before it goes on the shelf."


def _find(code: str) -> Container:
    """A code as typed or scanned, capitals or not."""
    if not check_code(code):
        raise Http404
    rows = Container.objects.select_related("chemical__supplier", "place", "supplier")
    return get_object_or_404(rows, code=normalise_code(code))


@allow("look")
def container(request: HttpRequest, code: str) -> HttpResponse:
    found, on = _find(code), timezone.localdate()
    return _show(request, found, _draw_form(request, found, None, on=on), on=on)


def _draw_form(request: HttpRequest, found: Container, data, *, on) -> DrawForm:
    first = to_take_before(found, on=on)
    return DrawForm(data, container=found, first=first, may_override=may(request.user, "take out of order"))


def _show(request: HttpRequest, found: Container, form: DrawForm, *, on) -> HttpResponse:
    shop = Shop.current()
    state = state_of(found, on=on, warning_days=shop.resin_warning_days)
    context = {
        "container": found,
        "form": form,
        "first": form.first,
        "caution": caution_for(found.chemical),
        "state": state,
        "is_past": state == PAST,
        "is_in_date": state == IN_DATE,
        "days_left": (found.expires_on - on).days,
        "reason": reason_of(found),
        "is_in_order": found.is_open and state != PAST,
        "may_be_drawn": found.is_open and state != PAST and not form.is_stopped,
        "aged": aged_life(found, on) if found.is_open else None,
        "may_be_tested": found.is_open and found.chemical.life_type == Chemical.Life.TESTED,
        "tests": found.life_tests.select_related("by"),
        "standing": sentences(breaches_at(found, found.place)) if found.is_open and found.place else [],
        "table": MovementTable(found.movements.select_related("by"), units=shop.units),
    }
    return render(request, "resins/container.html", context)


@require_POST
@allow("draw resin")
def draw(request: HttpRequest, code: str) -> HttpResponse:
    found, at = _find(code), timezone.localtime()
    form = _draw_form(request, found, request.POST, on=at.date())
    if form.is_valid():
        try:
            line = ledger.draw(
                container=found,
                mass_g=form.cleaned_data["amount"],
                by=request.user,
                at=at,
                key=form.cleaned_data["key"],
                reason=form.cleaned_data["purpose"],
                out_of_order=form.cleaned_data.get("out_of_order", ""),
            )
        except ledger.LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _drawn(line))
            return redirect(found)
    return _show(request, found, form, on=at.date())


def _drawn(line) -> str:
    units = Shop.current().units
    left = f"{format_mass(line.balance_after_g, units)} left" if line.balance_after_g else "it is empty now"
    return f"{format_mass(-line.delta_g, units)} taken from {line.container.code}; {left}."


@allow("draw resin")
def note_opened(request: HttpRequest, code: str) -> HttpResponse:
    found, today = _find(code), timezone.localdate()

    def write(values: dict) -> str:
        opened = ledger.open_container(container=found, on=values["on"])
        return f"{found.code} opened on {opened.opened_on}: use it by {opened.expires_on}."

    form = OpenedForm(request.POST or None, today=today)
    return _form_page(request, found, form, write, title="Note the day it was opened", button="Save the day")


@allow("recount")
def weigh(request: HttpRequest, code: str) -> HttpResponse:
    found, units, at = _find(code), Shop.current().units, timezone.localtime()

    def write(values: dict) -> str:
        line = weigh_container(container=found, by=request.user, at=at, **values)
        return f"{found.code} holds {format_mass(line.balance_after_g, units)}."

    form = WeighForm(request.POST or None, container=found, units=units)
    return _form_page(request, found, form, write, title="Weigh it", button="Save the weight")


@allow("move")
def move(request: HttpRequest, code: str) -> HttpResponse:
    found, at = _find(code), timezone.localtime()

    def write(values: dict) -> str:
        wish = {"place": values["place"], "note": values["note_of_place"], "key": values["key"]}
        ledger.move_container(container=found, by=request.user, at=at, **wish)
        return f"{found.code} stands at {values['place']} now."

    form = MoveForm(request.POST or None, container=found)
    return _form_page(request, found, form, write, title="Move it", button="It stands there now")


@allow("draw resin")
def lose(request: HttpRequest, code: str) -> HttpResponse:
    found, units, at = _find(code), Shop.current().units, timezone.localtime()

    def write(values: dict) -> str:
        wish = {"mass_g": values["amount"], "reason": values["reason"], "key": values["key"]}
        line = ledger.lose_from_container(container=found, by=request.user, at=at, **wish)
        lost, left = format_mass(-line.delta_g, units), format_mass(line.balance_after_g, units)
        return f"{found.code}: {lost} lost, {left} left."

    form = LossForm(request.POST or None, container=found)
    return _form_page(request, found, form, write, title="Write off what was lost", button="It is lost")


@allow("extend a date")
def test_life(request: HttpRequest, code: str) -> HttpResponse:
    found, at = _find(code), timezone.localtime()

    def write(values: dict) -> str:
        test = ledger.record_life_test(container=found, by=request.user, at=at, **values)
        if test.passed:
            return f"{found.code} passed: use it by {test.new_end}."
        return f"{found.code} failed: it stays with its date, {test.old_end}. Dispose of it with a waste note."

    form = LifeTestForm(request.POST or None, container=found, today=at.date())
    return _form_page(request, found, form, write, title="Note a cup test", button="Keep the test")


@allow("receive resin")
def dispose(request: HttpRequest, code: str) -> HttpResponse:
    found, units, at = _find(code), Shop.current().units, timezone.localtime()

    def write(values: dict) -> str:
        line = ledger.dispose(container=found, by=request.user, at=at, **values)
        return f"{found.code}: {format_mass(-line.delta_g, units)} disposed of."

    form = DisposeForm(request.POST or None)
    return _form_page(request, found, form, write, title="Dispose of what is left", button="Dispose of it")


def _form_page(
    request: HttpRequest, found: Container, form, write: Callable[[dict], str], *, title: str, button: str
) -> HttpResponse:
    """One form about one container: `write` does the wish and says what was done."""
    if request.method == "POST" and form.is_valid():
        try:
            done = write(form.cleaned_data)
        except ledger.LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, done)
            return redirect(found)
    context = {"form": form, "container": found, "title": title, "button": button}
    return render(request, "resins/container_form.html", context)
