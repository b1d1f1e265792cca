from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.hashers import make_password
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from shopstock.models import Pin, Tablet
from shopstock.roles import allow
from shopstock.tablets import BY_PIN, COOKIE_SECONDS, end_tablet, new_tablet, tablet_of

from .pin_forms import NewPinForm, PinSignInForm, TabletForm


class PinSignIn(LoginView):
    """Name and PIN for one task, on a shop tablet only; it ends with a tap or when the tablet lies idle."""

    template_name = "people/pin_sign_in.html"
    authentication_form = PinSignInForm

    def dispatch(self, request, *args, **kwargs):
        self.tablet = tablet_of(request)
        if self.tablet is None:
            return redirect("sign-in")
        return super().dispatch(request, *args, **kwargs)

    def form_valid(self, form):
        answer = super().form_valid(form)
        self.request.session[BY_PIN] = self.tablet.pk
        self.request.session.set_expiry(settings.TABLET_IDLE_SECONDS)
        return answer


pin_sign_in = login_not_required(PinSignIn.as_view())


@allow("look")
def my_pin(request: HttpRequest) -> HttpResponse:
    if BY_PIN in request.session:
        messages.error(request, "Sign in with your password to choose a new PIN.")
        return redirect("today")
    form = NewPinForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        hashed = make_password(form.cleaned_data["pin"])
        Pin.objects.update_or_create(person=request.user, defaults={"hashed": hashed, "made_at": timezone.now()})
        messages.success(request, "Your PIN is set. It works on the shop’s tablets only.")
        return redirect("today")
    return render(request, "people/my_pin.html", {"form": form})


@allow("manage people")
def tablets(request: HttpRequest) -> HttpResponse:
    form = TabletForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        tablet, token = new_tablet(name=form.cleaned_data["name"], by=request.user, at=timezone.now())
        messages.success(request, f"This device is the shop tablet “{tablet}” now.")
        answer = redirect("tablets")
        answer.set_cookie(
            settings.TABLET_COOKIE_NAME,
            token,
            COOKIE_SECONDS,
            httponly=True,
            samesite="Lax",
            secure=settings.SESSION_COOKIE_SECURE,
        )
        return answer
    context = {"form": form, "tablets": Tablet.objects.select_related("made_by"), "this": tablet_of(request)}
    return render(request, "people/tablets.html", context)


@allow("manage people")
def tablet_end(request: HttpRequest, pk: int) -> HttpResponse:
    if request.method == "POST":
        tablet = get_object_or_404(Tablet, pk=pk)
        end_tablet(tablet=tablet, at=timezone.now())
        messages.success(request, f"“{tablet}” is no shop tablet any more; who was signed in there is signed out.")
    return redirect("tablets")
