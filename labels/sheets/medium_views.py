"""The sheets and label printers of the shop, and the trial page that shows where a printer really prints."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from labels.calc.sheet_geometry import MediumError
from labels.drawing.trial_page import cross_of, ruler_of, trial_page_pdf
from labels.media import offered
from labels.models import PrintMedium
from labels.run_files import pdf_file
from shopstock.roles import allow

from .forms import MediumForm


@allow("print labels")
def media(request: HttpRequest) -> HttpResponse:
    offered()
    return render(request, "sheets/media.html", {"media": PrintMedium.objects.all()})


@allow("print labels")
def add_medium(request: HttpRequest) -> HttpResponse:
    start = {"page_w": 210, "page_h": 297, "cols": 1, "rows": 1}
    return _edit(request, MediumForm(request.POST or None, initial=start), None)


@allow("print labels")
def medium(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(PrintMedium, pk=pk)
    return _edit(request, MediumForm(request.POST or None, instance=row), row)


def _edit(request: HttpRequest, form: MediumForm, row: PrintMedium | None) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"Saved: {saved}.")
        return redirect("label-medium", saved.pk)
    context = {"form": form, "row": row}
    if row:
        row.refresh_from_db()  # the form has put what was typed on it
        x, y = cross_of(row.medium)
        context |= {"cross_x": x, "cross_y": y, "ruler": ruler_of(row.medium)}
    return render(request, "sheets/medium.html", context)


@allow("print labels")
def trial_page(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(PrintMedium, pk=pk)
    try:
        return pdf_file(trial_page_pdf(row.medium), f"trial-page-{row.key}.pdf")
    except MediumError as error:
        messages.error(request, str(error))
        return redirect("label-medium", pk)
