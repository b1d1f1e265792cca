from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from shopstock.calc.stock_columns import COLUMNS
from shopstock.calc.units import format_length
from shopstock.ledger import LedgerError
from shopstock.models import Shop
from shopstock.roles import allow

from . import waiting
from .actions import ImportPlan, carry_out, plan_import
from .forms import StockFileForm
from .readers import read_table
from .writers import EXAMPLE_LINES, stock_lines, write_csv, write_xlsx

SHOWN_PROBLEMS = 200
SHOWN_ROWS = 20
XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@allow("import stock")
def stock_import(request: HttpRequest) -> HttpResponse:
    form = StockFileForm(request.POST, request.FILES) if request.method == "POST" else StockFileForm()
    if form.is_bound and form.is_valid():
        plan = plan_import(form.table, on=timezone.localdate())
        name = "" if plan.problems else waiting.keep(form.data)
        return _preview(request, plan, name, form.cleaned_data["file"].name)
    return render(request, "stock_file/stock_import.html", {"form": form, "columns": COLUMNS})


def _preview(request: HttpRequest, plan: ImportPlan, name: str, file_name: str) -> HttpResponse:
    context = {
        "plan": plan,
        "name": name,
        "file_name": file_name,
        "problems": plan.problems[:SHOWN_PROBLEMS],
        "more_problems": max(0, len(plan.problems) - SHOWN_PROBLEMS),
        "rows": [row for _, row in plan.rows[:SHOWN_ROWS]],
        "more_rows": max(0, len(plan.rows) - SHOWN_ROWS),
    }
    return render(request, "stock_file/preview.html", context, status=422 if plan.problems else 200)


@require_POST
@allow("import stock")
def confirm(request: HttpRequest) -> HttpResponse:
    name = request.POST.get("name", "")
    try:
        data = waiting.fetch(name)
    except waiting.NotWaiting:
        messages.error(request, "That file is not kept any more. Choose it again.")
        return redirect("stock-import")
    now = timezone.now()
    plan = plan_import(read_table(data), on=timezone.localdate(now))
    if plan.problems:  # the store or the catalogue has changed since the preview
        return _preview(request, plan, "", request.POST.get("file_name", "the file"))
    try:
        made = carry_out(plan, by=request.user, at=now)
    except LedgerError as error:
        messages.error(request, str(error))
        return redirect("stock-import")
    waiting.forget(name)
    messages.success(request, outcome(plan, sum(roll.length_mm for roll in made), len(made)))
    return redirect("rolls")


def outcome(plan: ImportPlan, length_mm: int, count: int) -> str:
    known = f" {plan.known} were already in the store." if plan.known else ""
    if not count:
        return f"Nothing was added.{known}"
    rolls = "1 roll or offcut" if count == 1 else f"{count} rolls and offcuts"
    return f"Added {rolls}, {format_length(length_mm, Shop.current().units)} in all.{known}"


@allow("import stock")
def stock_export(request: HttpRequest) -> HttpResponse:
    if request.GET.get("as") == "xlsx":
        return _file(write_xlsx(stock_lines()), "stock.xlsx", XLSX_TYPE)
    return _file(write_csv(stock_lines()), "stock.csv", "text/csv; charset=utf-8")


@allow("import stock")
def empty_table(request: HttpRequest) -> HttpResponse:
    """The columns with two lines as an example, to be filled in."""
    return _file(write_csv(EXAMPLE_LINES), "stock-columns.csv", "text/csv; charset=utf-8")


def _file(data: bytes, name: str, content_type: str) -> HttpResponse:
    return HttpResponse(
        data, content_type=content_type, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )
