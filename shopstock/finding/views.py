from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from shopstock import scans
from shopstock.calc.stock_code import CODE_LENGTH, check_code, explain_wrong_code, near_codes, normalise_code
from shopstock.models import Container, Place, Reinforcement, Roll
from shopstock.queries import find_rolls
from shopstock.roles import LAMINATOR, allow, may, role_of

from .forms import FindForm, code_or_words

MOST_SHOWN = 50


@allow("look")
def find(request: HttpRequest) -> HttpResponse:
    form = FindForm(request.GET)
    if not form.is_valid():
        return render(request, "finding/find.html", {"unreadable": True})
    typed = form.cleaned_data["q"].strip()
    text = scans.code_in(typed) or code_or_words(typed)
    address = address_of(normalise_code(text), role_of(request.user)) if check_code(text) else None
    if address:
        return redirect(address)
    found = {"near": near_stock(text)} | _matches(text)
    if not any(found.values()) and may(request.user, "receive") and scans.is_suppliers(typed):
        return redirect(f"{reverse('scan-delivery')}?{urlencode({'text': typed})}")
    return render(request, "finding/find.html", {"find_text": text} | found)


def address_of(code: str, role: str | None) -> str | None:
    """The page of what has this code; of a roll or container a laminator gets the scan page, to cut or draw."""
    place = Place.objects.filter(code=code).first()
    if place:
        return reverse("place", args=[place.pk])
    for table, page, scan_page in ((Roll, "roll", "scan-roll"), (Container, "container", "scan-container")):
        if table.objects.filter(code=code).exists():
            return reverse(scan_page if role == LAMINATOR else page, args=[code])
    return None


def near_stock(text: str) -> list[Roll | Container]:
    """Rolls and containers whose code differs from the text by one character or one swap."""
    near = near_codes(text)
    rolls = Roll.objects.filter(code__in=near).select_related("reinforcement")
    return [*rolls, *Container.objects.filter(code__in=near).select_related("chemical")]


def _matches(text: str) -> dict:
    if not text:
        return {}
    rolls = find_rolls(text).select_related("reinforcement", "place").order_by("-closed_on", "-received_on", "-pk")
    shown = list(rolls[: MOST_SHOWN + 1])
    return {
        "rolls": shown[:MOST_SHOWN],
        "more": len(shown) > MOST_SHOWN,
        "reinforcements": _each_word(Reinforcement.objects.all(), "name", text)[:MOST_SHOWN],
        "containers": _each_word(_containers(), "chemical__name", text) or _containers().filter(batch__iexact=text),
        "wrong_code": _wrong_code(text),
    }


def _containers():
    return Container.objects.select_related("chemical", "place").order_by("-closed_on", "label_date", "pk")


def _each_word(rows, column: str, text: str):
    for word in text.split():
        rows = rows.filter(**{f"{column}__icontains": word})
    return rows


def _wrong_code(text: str) -> str:
    """What is wrong with the text as a code, when it was probably meant as one."""
    code = normalise_code(text)
    if check_code(text):
        return f"{code} is a right code, but no roll and no container here has it. Is it another shop’s label?"
    meant_as_code = abs(len(code) - CODE_LENGTH) <= 1 and any(c.isdigit() for c in text) and code[:1].isalpha()
    return explain_wrong_code(text) if meant_as_code else ""
