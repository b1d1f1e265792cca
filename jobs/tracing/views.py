import csv

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from jobs.models import Part
from shopstock.listing import harmless
from shopstock.roles import allow

from .history import PartHistory, history_of

HEADINGS = (
    "kind", "when", "by", "code", "material", "lot or batch", "supplier", "amount", "unit", "pieces",
    "temperature (°C)", "humidity (%)", "read at",
)  # fmt: skip


@allow("trace")
def part_history(request: HttpRequest, pk: int) -> HttpResponse:
    part = get_object_or_404(Part.objects.select_related("job"), pk=pk)
    history = history_of(part)
    if request.GET.get("_export") == "csv":
        return _file(history)
    return render(request, "part_history/part_history.html", {"history": history, "part": part})


def _file(history: PartHistory) -> HttpResponse:
    answer = HttpResponse(content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="part-{history.part.pk}.csv"'
    writer = csv.writer(answer)
    writer.writerow(HEADINGS)
    for row in _rows(history):
        writer.writerow([harmless(cell) for cell in row])
    return answer


def _rows(history: PartHistory):
    for cut in history.cuts:
        line, air = cut.line, cut.climate
        roll = line.roll
        yield (
            "cut", f"{line.happened_at:%Y-%m-%d %H:%M}", line.by.get_username(), roll.code, roll.reinforcement.name,
            roll.lot, str(roll.supplier or ""), -line.delta_mm, "mm", "; ".join(cut.pieces),
            air.temperature_c if air else "", air.humidity if air and air.humidity is not None else "",
            f"{air.at:%Y-%m-%d %H:%M}" if air else "",
        )  # fmt: skip
    for line in history.draws:
        yield (
            "resin", f"{line.happened_at:%Y-%m-%d %H:%M}", line.by.get_username(), line.container.code,
            line.container.chemical.name, line.container.batch, "", -line.delta_g, "g", line.reason, "", "", "",
        )  # fmt: skip
