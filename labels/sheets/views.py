"""Choosing labels and laying them out; single labels."""

from contextlib import suppress
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from labels.calc.qr_payload import ShopAddressError
from labels.drawing.arrangement import LabelTooSmallError
from labels.drawing.pdf import labels_pdf
from labels.drawing.png import label_png
from labels.media import offered, sticker
from labels.run_files import pdf_file, start_drawing
from labels.runs import record_run
from shopstock.calc.stock_code import WrongCodeError, read_code
from shopstock.models import Container, Place, Shop
from shopstock.roles import allow

from .choosing import codes_received, items_matching, items_with, rolls_with_words
from .forms import MOST_LABELS, SheetForm
from .label_of import Item
from .preview import page_count, preview, type_mm
from .printing import ToPrint, check_printable, to_print
from .wanted import wanted_labels

REMEMBERED = "label_sheet"
KEPT = ("medium", "twins", "plain")
CANNOT_PRINT = (LabelTooSmallError, ShopAddressError)


@allow("print labels")
def label_sheet(request: HttpRequest) -> HttpResponse:
    form = _sheet_form(request, request.GET)
    items = items_with(request.GET.getlist("code"))
    if form.is_valid() and items:
        _labels_or_error(form, _wanted(form, items))
    return _page(request, form, items)


@allow("print labels")
def label_sheet_pdf(request: HttpRequest) -> HttpResponse:
    """Records what is printed and has it drawn."""
    if request.method != "POST":
        return redirect(f"../?{request.GET.urlencode()}")
    form = _sheet_form(request, request.POST)
    items = items_with(request.POST.getlist("code"))
    if not items:
        form.add_error(None, "No label is ticked. Tick at least one roll, container or place.")
    labels = form.is_valid() and _labels_or_error(form, _wanted(form, items))
    if not labels:
        return _page(request, form, items)
    data = form.cleaned_data
    run = record_run(
        lines=[one.line for one in _wanted(form, items)],
        row=data["row"],
        first=data["first"],
        by=request.user,
        at=timezone.now(),
    )
    start_drawing(run.pk, labels, data["sheet"], data["first"])
    request.session[REMEMBERED] = {name: form.data[name] for name in KEPT if name in form.data}
    return redirect(run)


def _sheet_form(request: HttpRequest, given) -> SheetForm:
    """What this person printed on last, unless the address says otherwise."""
    return SheetForm({**request.session.get(REMEMBERED, {}), **given.dict()})


def _wanted(form: SheetForm, items: list[Item]) -> list[ToPrint]:
    data = form.cleaned_data
    return to_print(items, copies=data["copies"], twins=data["twins"], plain=data["plain"])


def _labels_or_error(form: SheetForm, wanted: list[ToPrint]) -> list:
    """The labels, or none and a word on the form of what is wrong."""
    if len(wanted) > MOST_LABELS:
        form.add_error(None, f"{len(wanted)} labels are too many at once. Print {MOST_LABELS} or fewer.")
        return []
    try:
        shop = Shop.current()
        labels = [one.label(shop) for one in wanted]
        check_printable(labels, form.cleaned_data["sheet"])
    except LabelTooSmallError as error:
        form.add_error(None, f"{error} {_large_enough(form, labels)}".strip())
        return []
    except CANNOT_PRINT as error:
        form.add_error(None, str(error))
        return []
    return labels


def _large_enough(form: SheetForm, labels: list) -> str:
    """Which of the shop's own sheets and printers take all of them."""
    names = []
    for row in form.rows.values():
        with suppress(LabelTooSmallError):
            check_printable(labels, row.medium)
            names.append(row.name)
    return f"All fit on: {'; '.join(names)}." if names else ""


def _page(request: HttpRequest, form: SheetForm, items: list[Item]) -> HttpResponse:
    words = request.GET.get("q", "").replace("\0", "").strip()
    chosen = {item.code for item in items}
    found = [item for item in items_matching(words) if item.code not in chosen] if words else []
    todays = [code for code in codes_received(timezone.localdate()) if code not in chosen]
    wanted = [one.item.code for one in wanted_labels() if one.item.code not in chosen]
    context = {
        "form": form,
        "items": items,
        "words": words,
        "found": found,
        "todays": todays,
        "wanted": wanted,
        "with_todays": _address(form, [*chosen, *todays]),
        "with_wanted": _address(form, [*chosen, *wanted]),
        "with_found": _address(form, [*chosen, *(item.code for item in found)]),
    }
    if form.is_valid() and items:
        context |= _preview(form, items)
    return render(request, "sheets/sheet.html", context)


def _preview(form: SheetForm, items: list[Item]) -> dict:
    sheet, first = form.cleaned_data["sheet"], form.cleaned_data["first"]
    shown = [one.item for one in _wanted(form, items)]
    return {
        "sheet": sheet,
        "pages": preview(shown, sheet, first),
        "type_mm": type_mm(sheet),
        "page_count": page_count(len(shown), sheet, first),
        "label_count": len(shown),
        "print_fields": form.as_query(),
        "sheet_query": urlencode(form.as_query()),
        "start_query": urlencode(
            {**form.as_query(without=("first",)), "code": [item.code for item in items]}, doseq=True
        ),
    }


def _address(form: SheetForm, codes: list[str]) -> str:
    """This page again with other codes ticked, nothing else changed."""
    return f"?{urlencode({**form.as_query(), 'code': codes}, doseq=True)}"


@allow("print labels")
def roll_png(request: HttpRequest, code: str) -> HttpResponse:
    return _png(request, _item(rolls_with_words(), code))


@allow("print labels")
def roll_pdf(request: HttpRequest, code: str) -> HttpResponse:
    return _sticker(request, _item(rolls_with_words(), code))


@allow("print labels")
def container_png(request: HttpRequest, code: str) -> HttpResponse:
    return _png(request, _item(Container.objects.select_related("chemical", "place"), code))


@allow("print labels")
def container_pdf(request: HttpRequest, code: str) -> HttpResponse:
    return _sticker(request, _item(Container.objects.select_related("chemical", "place"), code))


@allow("print labels")
def place_png(request: HttpRequest, code: str) -> HttpResponse:
    return _png(request, _item(Place.objects.all(), code))


@allow("print labels")
def place_pdf(request: HttpRequest, code: str) -> HttpResponse:
    return _sticker(request, _item(Place.objects.all(), code))


def _item(rows: QuerySet, code: str) -> Item:
    try:
        return get_object_or_404(rows, code=read_code(code))
    except WrongCodeError as error:
        raise Http404(str(error)) from None


def _sticker_form(request: HttpRequest) -> SheetForm:
    """A single label goes on a sticker unless the address names a sheet."""
    form = SheetForm({"medium": sticker(offered()).key, "first": 1, **request.GET.dict()})
    if not form.is_valid():
        raise Http404(form.errors.as_text())
    return form


def _png(request: HttpRequest, item: Item) -> HttpResponse:
    form = _sticker_form(request)
    try:
        content = label_png(_one(form, item).label(Shop.current()), form.cleaned_data["sheet"])
    except CANNOT_PRINT as error:
        return _refused(request, item, error)
    return HttpResponse(content, content_type="image/png")


def _one(form: SheetForm, item: Item) -> ToPrint:
    return ToPrint(item, plain=form.cleaned_data["plain"])


def _sticker(request: HttpRequest, item: Item) -> HttpResponse:
    """A sticker in one tap, written down like any other print."""
    form = _sticker_form(request)
    wanted = _one(form, item)
    try:
        content = labels_pdf([wanted.label(Shop.current())], form.cleaned_data["sheet"])
    except CANNOT_PRINT as error:
        return _refused(request, item, error)
    record_run(lines=[wanted.line], row=form.cleaned_data["row"], first=1, by=request.user, at=timezone.now())
    return pdf_file(content, f"label-{item.code}.pdf")


def _refused(request: HttpRequest, item: Item, error: Exception) -> HttpResponse:
    """The page on which a label can be printed another way, with the reason on it."""
    form = _sheet_form(request, request.GET)
    form.add_error(None, str(error))
    return _page(request, form, [item])
