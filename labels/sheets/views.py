from urllib.parse import urlencode

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from labels.calc.qr_payload import ShopAddressError
from labels.calc.sheet_geometry import Medium
from labels.drawing.arrangement import LabelTooSmallError
from labels.drawing.layout import lay_out
from labels.drawing.pdf import labels_pdf
from labels.drawing.png import label_png
from shopstock.calc.stock_code import WrongCodeError, read_code
from shopstock.models import Container, Roll, Shop
from shopstock.roles import allow

from .choosing import Item, codes_received, items_matching, items_with, rolls_with_words
from .forms import MOST_LABELS, SheetForm
from .label_of import label_of
from .media import STICKER
from .preview import page_count, preview, type_mm

REMEMBERED = "label_sheet"
NOT_REMEMBERED = ("code", "q", "first", "copies")
CANNOT_PRINT = (LabelTooSmallError, ShopAddressError)


@allow("print labels")
def label_sheet(request: HttpRequest) -> HttpResponse:
    form = _sheet_form(request)
    items = items_with(request.GET.getlist("code"))
    if form.is_valid() and items:
        _check_printable(form, items[:1])
    return _page(request, form, items)


@allow("print labels")
def label_sheet_pdf(request: HttpRequest) -> HttpResponse:
    form = _sheet_form(request)
    items = items_with(request.GET.getlist("code"))
    if not items:
        form.add_error(None, "No label is ticked. Tick at least one roll or container.")
    if not form.is_valid():
        return _page(request, form, items)
    sheet, wanted = form.cleaned_data["sheet"], _copied(items, form)
    if len(wanted) > MOST_LABELS:
        form.add_error(None, f"{len(wanted)} labels are too many at once. Print {MOST_LABELS} or fewer.")
        return _page(request, form, items)
    try:
        labels = [label_of(item, Shop.current()) for item in wanted]
        content = labels_pdf(labels, sheet, form.cleaned_data["first"])
    except CANNOT_PRINT as error:
        form.add_error(None, str(error))
        return _page(request, form, items)
    request.session[REMEMBERED] = {name: v for name, v in request.GET.items() if name not in NOT_REMEMBERED}
    return _pdf(content, "labels.pdf")


def _sheet_form(request: HttpRequest) -> SheetForm:
    """What this person printed on last, unless the address says otherwise."""
    return SheetForm({**request.session.get(REMEMBERED, {}), **request.GET.dict()})


def _check_printable(form: SheetForm, items: list[Item]) -> None:
    try:
        for item in items:
            lay_out(label_of(item, Shop.current()), form.cleaned_data["sheet"])
    except CANNOT_PRINT as error:
        form.add_error(None, str(error))


def _copied(items: list[Item], form: SheetForm) -> list[Item]:
    return [item for item in items for _ in range(form.cleaned_data["copies"])]


def _page(request: HttpRequest, form: SheetForm, items: list[Item]) -> HttpResponse:
    words = request.GET.get("q", "").replace("\0", "").strip()
    chosen = {item.code for item in items}
    found = [item for item in items_matching(words) if item.code not in chosen] if words else []
    todays = [code for code in codes_received(timezone.localdate()) if code not in chosen]
    context = {
        "form": form,
        "items": items,
        "words": words,
        "found": found,
        "todays": todays,
        "with_todays": _address(form, [*chosen, *todays]),
        "with_found": _address(form, [*chosen, *(item.code for item in found)]),
    }
    if form.is_valid() and items:
        context |= _preview(form, items)
    return render(request, "sheets/sheet.html", context)


def _preview(form: SheetForm, items: list[Item]) -> dict:
    sheet, first, wanted = form.cleaned_data["sheet"], form.cleaned_data["first"], _copied(items, form)
    return {
        "sheet": sheet,
        "pages": preview(wanted, sheet, first),
        "type_mm": type_mm(sheet),
        "page_count": page_count(len(wanted), sheet, first),
        "label_count": len(wanted),
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
    return _png(request, _item(Container.objects.select_related("chemical"), code))


@allow("print labels")
def container_pdf(request: HttpRequest, code: str) -> HttpResponse:
    return _sticker(request, _item(Container.objects.select_related("chemical"), code))


def _item(rows: QuerySet, code: str) -> Roll | Container:
    try:
        return get_object_or_404(rows, code=read_code(code))
    except WrongCodeError as error:
        raise Http404(str(error)) from None


def _medium(request: HttpRequest) -> Medium:
    form = SheetForm({"medium": STICKER, **request.GET.dict()})
    if not form.is_valid():
        raise Http404(form.errors.as_text())
    return form.cleaned_data["sheet"]


def _png(request: HttpRequest, item: Item) -> HttpResponse:
    try:
        content = label_png(label_of(item, Shop.current()), _medium(request))
    except CANNOT_PRINT as error:
        return _refused(request, item, error)
    return HttpResponse(content, content_type="image/png")


def _sticker(request: HttpRequest, item: Item) -> HttpResponse:
    try:
        content = labels_pdf([label_of(item, Shop.current())], _medium(request))
    except CANNOT_PRINT as error:
        return _refused(request, item, error)
    return _pdf(content, f"label-{item.code}.pdf")


def _refused(request: HttpRequest, item: Item, error: Exception) -> HttpResponse:
    """The page on which a label can be printed another way, with the reason on it."""
    form = _sheet_form(request)
    form.add_error(None, str(error))
    return _page(request, form, [item])


def _pdf(content: bytes, file_name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'attachment; filename="{file_name}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)
