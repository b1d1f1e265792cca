"""What every form about one roll shares: the roll of its address, its units, writing it, and going back to the roll."""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from .calc.stock_code import check_code, normalise_code
from .calc.units import format_length
from .fields import KeyedForm
from .ledger import LedgerError
from .models import Roll, SetAside, Shop
from .typed_units import use_bare_units


def roll_of(code: str) -> Roll:
    """With its reinforcement, place, supplier and the roll it was cut from; a page that is not there otherwise."""
    if not check_code(code):
        raise Http404
    rolls = Roll.objects.select_related("reinforcement", "place", "supplier", "parent__supplier")
    return get_object_or_404(rolls, code=normalise_code(code))


class RollForm(KeyedForm):
    """A form about one roll, in the units of the shop."""

    bare_units: dict[str, str] = {}

    def __init__(self, *args, roll: Roll, units: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.roll, self.units = roll, units
        use_bare_units(self, units, **self.bare_units)

    def shown(self, length_mm: int) -> str:
        return format_length(length_mm, self.units)


class Done(NamedTuple):
    """The roll to show next, and what to say there."""

    roll: Roll
    words: str


def given_back(promises: Iterable[SetAside]) -> str:
    """A sentence on what the roll was set aside for, with a space before it; nothing when nothing was."""
    purposes = sorted({promise.purpose for promise in promises})
    if not purposes:
        return ""
    return f" It cannot give any more what was set aside for {', '.join(purposes)}: plan that again."


def enter(
    request: HttpRequest,
    roll: Roll,
    form_class: type[RollForm],
    write: Callable[..., Done],
    *,
    title: str,
    button: str,
    template: str = "shopstock/roll_form.html",
    back: str = "roll",
    **context,
) -> HttpResponse:
    """Show a form about one roll; when it is filled, write it and go to the page `back` of the roll it names."""
    form = form_class(request.POST or None, request.FILES or None, roll=roll, units=Shop.current().units)
    if request.method == "POST" and form.is_valid():
        try:
            done = write(form, by=request.user, at=timezone.now())
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, done.words)
            return redirect(back, done.roll.code)
    shown = {"form": form, "roll": roll, "title": title, "button": button, "back": reverse(back, args=[roll.code])}
    return render(request, template, shown | context)
