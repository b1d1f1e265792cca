"""A supplier's label, scanned or pasted or photographed, fills the receiving form."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from labels.calc.supplier_label import NotGS1Error, SupplierLabel, read_supplier_label
from shopstock.models import Shop, SupplierArticle
from shopstock.roles import allow

from .delivery import article_of, container_start, roll_start, said
from .delivery_forms import ArticleForm
from .forms import SupplierPhotoForm


@allow("receive")
def scan_delivery(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        return _photo(request)
    text = request.GET.get("text", "")[:1000].strip()
    return _page(request, text, SupplierPhotoForm())


def _photo(request: HttpRequest) -> HttpResponse:
    form = SupplierPhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, "", form)
    return redirect(f"{reverse('scan-delivery')}?{urlencode({'text': form.cleaned_data['photo']})}")


def _page(
    request: HttpRequest, text: str, photo_form: SupplierPhotoForm, form: ArticleForm | None = None
) -> HttpResponse:
    context = {"text": text, "photo_form": photo_form}
    if text:
        try:
            context |= _read(read_supplier_label(text), text, form)
        except NotGS1Error as error:
            context["wrong"] = str(error)
    return render(request, "scan/delivery.html", context)


def _read(label: SupplierLabel, text: str, form: ArticleForm | None) -> dict:
    article, units = article_of(label), Shop.current().units
    lines = said(label, article, units)
    ask = bool(label.gtin and not article)
    return {
        "label": label,
        "article": article,
        "lines": lines,
        "disagree": any(line.catalogue for line in lines),
        "article_form": form or (ArticleForm(initial={"gtin": label.gtin, "text": text}) if ask else None),
        "roll_address": _address("receive", roll_start(label, article and article.reinforcement)),
        "container_address": _address("container-receive", container_start(label, article and article.chemical)),
    }


def _address(name: str, start: dict[str, str]) -> str:
    return f"{reverse(name)}?{urlencode(start)}"


@allow("receive")
@require_POST
def remember_article(request: HttpRequest) -> HttpResponse:
    form = ArticleForm(request.POST)
    text = request.POST.get("text", "")[:1000]
    if not form.is_valid():
        return _page(request, text, SupplierPhotoForm(), form)
    meaning = {name: form.cleaned_data[name] for name in ("reinforcement", "chemical")}
    stamp = {"by": request.user, "at": timezone.now()}
    SupplierArticle.objects.update_or_create(gtin=form.cleaned_data["gtin"], defaults=meaning | stamp)
    return redirect(f"{reverse('scan-delivery')}?{urlencode({'text': text})}")
