import datetime

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from shopstock.listing import list_page
from shopstock.roles import allow

from .files import cloth_csv, resin_csv
from .forms import DayForm, TimelineForm
from .recall import batches_like, lots_like, recall_batch, recall_lot
from .stock_on import stock_on
from .tables import StockOnTable, TimelineTable
from .timeline import timeline

FIRST_LOOK = datetime.timedelta(days=30)


@allow("trace")
def trace(request: HttpRequest) -> HttpResponse:
    words = request.GET.get("q", "").replace("\x00", "").strip()[:80]
    found = {"lots": lots_like(words), "batches": batches_like(words)} if words else {}
    return render(request, "tracing/trace.html", {"words": words, **found})


@allow("trace")
def lot(request: HttpRequest) -> HttpResponse:
    if "name" not in request.GET:
        return redirect("trace")
    name = _named(request)
    recall = recall_lot(name)
    if not recall.rolls:
        raise Http404
    if request.GET.get("_export") == "csv":
        return _file(cloth_csv(recall), "lot")
    return render(request, "tracing/lot.html", {"lot": name, "recall": recall})


@allow("trace")
def batch(request: HttpRequest) -> HttpResponse:
    if "name" not in request.GET:
        return redirect("trace")
    name = _named(request)
    recall = recall_batch(name)
    if not recall.containers:
        raise Http404
    if request.GET.get("_export") == "csv":
        return _file(resin_csv(recall), "batch")
    return render(request, "tracing/batch.html", {"batch": name, "recall": recall})


def _named(request: HttpRequest) -> str:
    name = request.GET.get("name", "")
    if not name or "\x00" in name:
        raise Http404
    return name


def _file(text: str, name: str) -> HttpResponse:
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="recall-{name}.csv"'
    return answer


@allow("look")
def stock_on_page(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    form = DayForm(request.GET if "on" in request.GET else None, initial={"on": today})
    day = form.cleaned_data["on"] if form.is_bound and form.is_valid() else today
    return list_page(
        request,
        table_class=StockOnTable,
        rows=list(stock_on(day, today=today)),
        template="tracing/stock_on.html",
        file_name=f"stock-{day}",
        form=form,
        day=day,
    )


@allow("audit")
def timeline_page(request: HttpRequest) -> HttpResponse:
    shown = request.GET.copy()
    narrowed = bool(set(shown) & set(TimelineForm.base_fields))
    if not narrowed:  # a first look is at the last month
        shown["since"] = (timezone.localdate() - FIRST_LOOK).isoformat()
    form = TimelineForm(shown)
    wanted = form.wanted() if form.is_valid() else {}
    return list_page(
        request,
        table_class=TimelineTable,
        rows=timeline(**wanted),
        template="tracing/timeline.html",
        file_name="timeline",
        form=form,
        narrowed=narrowed,
        title="Shown as chosen" if narrowed else "The last month",
    )
