from django.contrib import messages
from django.contrib.auth import get_user_model
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, LogoutView, PasswordChangeView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse, reverse_lazy
from django.utils import timezone

from shopstock.models import Shop
from shopstock.roles import allow
from shopstock.tablets import BY_PIN, tablet_of

from .actions import LastOwner, change_person, new_person
from .forms import ChangePersonForm, MyPasswordForm, NewPersonForm, ShopForm, SignInForm
from .locks import lift_lock, locked_names
from .tables import PersonTable

User = get_user_model()


class SignIn(LoginView):
    template_name = "people/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def dispatch(self, request, *args, **kwargs):
        """On a shop tablet the page for name and PIN comes first."""
        if request.method == "GET" and "password" not in request.GET and tablet_of(request):
            query = request.GET.urlencode()
            return redirect(reverse("pin-sign-in") + (f"?{query}" if query else ""))
        return super().dispatch(request, *args, **kwargs)


sign_in = login_not_required(SignIn.as_view())


class SignOut(LogoutView):
    def dispatch(self, request, *args, **kwargs):
        answer = super().dispatch(request, *args, **kwargs)
        answer["Clear-Site-Data"] = '"cache"'  # not what is stored: cuts that wait to be sent are there
        return answer


sign_out = SignOut.as_view()


class MyPassword(PasswordChangeView):
    """A person's own password, for which the old one is asked; other sign-ins of theirs end with it."""

    template_name = "people/my_password.html"
    form_class = MyPasswordForm
    success_url = reverse_lazy("today")

    def dispatch(self, request, *args, **kwargs):
        if BY_PIN in request.session:
            messages.error(request, "Sign in with your password to choose a new one.")
            return redirect("today")
        return super().dispatch(request, *args, **kwargs)

    def form_valid(self, form):
        answer = super().form_valid(form)
        messages.success(self.request, "Your new password counts from now on. Other devices are signed out.")
        return answer


my_password = allow("look")(MyPassword.as_view())


@allow("manage people")
def people(request: HttpRequest) -> HttpResponse:
    table = PersonTable(User.objects.prefetch_related("groups").order_by("username"))
    locked = User.objects.filter(username__in=locked_names(timezone.now())).order_by("username")
    return render(request, "people/people.html", {"table": table, "locked": locked})


@allow("manage people")
def person_unlock(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(User, pk=pk)
    if request.method == "POST":
        lift_lock(found.get_username())
        messages.success(request, f"{found} may try to sign in again.")
    return redirect("people")


@allow("manage people")
def add_person(request: HttpRequest) -> HttpResponse:
    form = NewPersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        person = new_person(**form.cleaned_data)
        messages.success(request, f"{person} can sign in now as {form.cleaned_data['role']}.")
        return redirect("people")
    return render(request, "people/person.html", {"form": form, "title": "Add a person"})


@allow("manage people")
def person(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(User, pk=pk)
    form = ChangePersonForm(request.POST or None, person=found)
    if request.method == "POST" and form.is_valid():
        try:
            change_person(person=found, **form.cleaned_data)
        except LastOwner as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Saved {found}.")
            return redirect("people")
    return render(request, "people/person.html", {"form": form, "title": found.get_username(), "person": found})


@allow("change settings")
def shop_settings(request: HttpRequest) -> HttpResponse:
    form = ShopForm(request.POST or None, instance=Shop.current())
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("shop-settings")
    return render(request, "people/shop_settings.html", {"form": form})


def locked_out(request: HttpRequest, response: HttpResponse | None = None, credentials=None) -> HttpResponse:
    """Too many wrong tries under one name; called by the library that counts them."""
    return render(request, "people/locked_out.html", status=429)


@login_not_required
def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "people/refused.html", {"reason": str(exception or "")}, status=403)


@login_not_required
def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "people/not_found.html", {"path": request.path}, status=404)


@login_not_required
def form_expired(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form whose security token is missing or old: most often a page left open overnight."""
    return render(request, "people/form_expired.html", status=403)
