"""What is still to be printed, what was printed, and how far a run is."""

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from labels.models import LabelWish, PrintRun
from labels.run_files import drawn, pdf_file, pdf_of
from labels.runs import Kind, spoil_run
from shopstock.roles import allow

from .wanted import wanted_labels

RUNS_SHOWN = 20


def _runs():
    counts = {"count": Count("labels"), "reprints": Count("labels", filter=Q(labels__is_reprint=True))}
    return PrintRun.objects.select_related("by").annotate(**counts)


@never_cache
@allow("print labels")
def label_queue(request: HttpRequest) -> HttpResponse:
    context = {"wanted": wanted_labels(), "runs": _runs()[:RUNS_SHOWN]}
    return render(request, "sheets/queue.html", context)


@allow("print labels")
@require_POST
def drop_wish(request: HttpRequest, code: str) -> HttpResponse:
    wishes = LabelWish.objects.filter(code=code, run__isnull=True, dropped_at__isnull=True)
    if wishes.update(dropped_at=timezone.now()):
        messages.success(request, f"No new label for {code}.")
    return redirect("label-queue")


@never_cache
@allow("print labels")
def print_run(request: HttpRequest, pk: int) -> HttpResponse:
    run = get_object_or_404(_runs(), pk=pk)
    ready = pdf_of(pk).exists()
    so_far = None if ready else drawn(pk)
    if request.headers.get("Accept") == "application/json":
        return JsonResponse({"ready": ready, "drawn": so_far, "count": run.count})
    of_pieces = run.labels.filter(kind=Kind.PIECE).exists()
    context = {"run": run, "ready": ready, "drawn": so_far, "of_pieces": of_pieces, "lines": run.labels.all()[:200]}
    return render(request, "sheets/run.html", context)


@allow("print labels")
def print_run_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    run = get_object_or_404(PrintRun, pk=pk)
    if not pdf_of(pk).exists():
        return redirect(run)
    return pdf_file(pdf_of(pk).read_bytes(), f"labels-{pk}.pdf")


@allow("print labels")
@require_POST
def spoil(request: HttpRequest, pk: int) -> HttpResponse:
    run = get_object_or_404(PrintRun, pk=pk)
    spoil_run(run=run, at=timezone.now())
    messages.success(request, "Its labels are to be printed again. Check where the next free label is on the sheet.")
    return redirect("label-queue")
