"""A ply given as an outline."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs.calc.outline import area_mm2, can_read_outlines
from jobs.calc.outline_picture import draw_outline
from jobs.models import Ply
from shopstock.calc.units import format_length
from shopstock.models import Shop
from shopstock.roles import allow

from . import actions
from .outline_forms import OutlineForm
from .views import REFUSALS, tried


@allow("plan jobs")
def outline(request: HttpRequest, pk: int) -> HttpResponse:
    ply = _ply_or_404(pk)
    sent = request.method == "POST"
    form = OutlineForm(request.POST, request.FILES) if sent else OutlineForm()
    if sent and form.is_valid():
        found = form.cleaned_data["outline"]
        if tried(form, actions.set_outline, ply=ply, outline=found):
            units = Shop.current().units
            size = f"{format_length(found.length_mm, units)} × {format_length(found.width_mm, units)}"
            messages.success(request, f"Ply {ply.number} of {ply.part} has its outline; the blank around it is {size}.")
            return redirect("ply-outline", ply.pk)
    context = {
        "form": form,
        "ply": ply,
        "part": ply.part,
        "can_read": can_read_outlines(),
        "picture": draw_outline(ply.outline) if ply.outline else None,
        "area_m2": area_mm2(tuple(map(tuple, ply.outline))) / 1e6 if ply.outline else None,
        "wrong": draw_outline(form.wrong.points, form.wrong.place_mm) if form.wrong and form.wrong.points else None,
    }
    return render(request, "layups/outline.html", context)


@allow("plan jobs")
@require_POST
def remove_outline(request: HttpRequest, pk: int) -> HttpResponse:
    ply = _ply_or_404(pk)
    try:
        actions.set_outline(ply=ply, outline=None)
    except REFUSALS as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Ply {ply.number} of {ply.part} is a rectangle again.")
    return redirect("ply-edit", ply.pk)


def _ply_or_404(pk: int) -> Ply:
    return get_object_or_404(Ply.objects.select_related("part__job", "reinforcement"), pk=pk)
