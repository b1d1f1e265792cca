from django.http import HttpRequest, HttpResponse

from shopstock.calc.bar_picture import draw_bar
from shopstock.listing import list_page
from shopstock.roles import allow

from .accounts import MONTH, Row, entries, rows_by, scrap_by_cause, total
from .forms import PeriodForm
from .tables import table_by


@allow("look")
def cloth_yield(request: HttpRequest) -> HttpResponse:
    form = PeriodForm(request.GET or None)
    period = form.cleaned_data if form.is_valid() else {}
    found = list(entries(period.get("start"), period.get("end")))
    by, everything = period.get("by") or MONTH, total(found)
    rows = rows_by(found, by)
    return list_page(
        request,
        table_class=table_by(by, rows),
        rows=rows,
        template="yields/yield.html",
        file_name=f"yield-by-{by}",
        form=form,
        all=everything,
        picture=draw_bar(_shares(everything)),
        scrap=scrap_by_cause(found),
    )


def _shares(row: Row) -> list[tuple[str, int]]:
    """What was taken off the racks for good, and what of it lies there again."""
    gone = [("parts", row.parts), ("trimmed", row.trimmed), ("scrapped", row.scrapped), ("lost at recount", row.lost)]
    return [*gone, ("kept as offcuts", row.offcuts)]
