"""Short answers in JSON, for a device that sends a cut or what its camera sees, and asks for no page."""

from django import forms
from django.http import HttpRequest, JsonResponse
from django.middleware.csrf import get_token

from shopstock import ledger
from shopstock.models import Movement

from .forms import NO_CODE, PhotoForm

REFUSED, CANNOT_STAND = 409, 422


def wants_json(request: HttpRequest) -> bool:
    return request.get_preferred_type(["text/html", "application/json"]) == "application/json"


def written(line: Movement) -> JsonResponse:
    """201 for a line made by this very request, 200 for one that the same key made before."""
    body = {
        "movement": line.pk,
        "key": line.key,
        "balance_after_mm": line.balance_after_mm,
        "over_mm": getattr(line, "over_mm", 0),
        "replayed": line.replayed,
    }
    return JsonResponse(body, status=200 if line.replayed else 201)


def refused(error: ledger.LedgerError) -> JsonResponse:
    """409 when the stock does not allow it; 422 when the key already stands for something else."""
    status = CANNOT_STAND if isinstance(error, ledger.KeyReused) else REFUSED
    return JsonResponse({"refused": type(error).__name__, "message": str(error)}, status=status)


def who_sends(request: HttpRequest) -> JsonResponse:
    """What a phone must know before it sends what it kept: who is signed in, and the token for its posts."""
    return JsonResponse({"person": request.user.pk, "token": get_token(request)})


def not_understood(form: forms.Form) -> JsonResponse:
    return JsonResponse({"refused": "Form", "fields": form.errors.get_json_data()}, status=CANNOT_STAND)


def seen(address: str) -> JsonResponse:
    """The camera saw a label: where to go."""
    return JsonResponse({"address": address})


def seen_unknown(error: Exception) -> JsonResponse:
    return JsonResponse({"message": str(error)})


def seen_nothing(form: PhotoForm) -> JsonResponse:
    """No code in view is no news to somebody who is still moving the phone."""
    errors = [] if form.has_error("photo", NO_CODE) else form.errors["photo"]
    return JsonResponse({"message": " ".join(errors)})
