from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from shopstock.models import Offer, Shop, Supplier
from shopstock.roles import allow
from shopstock.sizes_sold import currency_of

from .forms import OfferForm, SupplierTermsForm


@allow("order")
def terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Lead time, freight, currency, and the sizes and prices a supplier sells at."""
    supplier = get_object_or_404(Supplier, pk=pk)
    form = SupplierTermsForm(request.POST or None, instance=supplier)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, f"The terms of {supplier} are saved.")
        return redirect("supplier-terms", supplier.pk)
    offers = supplier.offers.select_related("reinforcement", "chemical")
    currency = currency_of(supplier, Shop.current())
    return render(
        request, "ordering/terms.html", {"supplier": supplier, "form": form, "offers": offers, "currency": currency}
    )


@allow("order")
def add_offer(request: HttpRequest, pk: int) -> HttpResponse:
    supplier = get_object_or_404(Supplier, pk=pk)
    form = OfferForm(
        request.POST or None,
        instance=Offer(supplier=supplier),
        currency=currency_of(supplier, Shop.current()),
        initial={"reinforcement": request.GET.get("reinforcement")},
    )
    if request.method == "POST" and form.is_valid():
        offer = form.save()
        messages.success(request, f"{offer} is kept.")
        return redirect("supplier-terms", supplier.pk)
    context = {"form": form, "title": f"A size and price of {supplier}", "supplier": supplier}
    return render(request, "ordering/form.html", context)


@allow("order")
@require_POST
def remove_offer(request: HttpRequest, pk: int) -> HttpResponse:
    offer = Offer.objects.select_related("supplier", "reinforcement", "chemical").filter(pk=pk).first()
    if offer is None:  # a second tap, or another person was quicker
        messages.info(request, "That price is taken out already.")
        return redirect("ordering")
    words = str(offer)
    offer.delete()
    messages.success(request, f"{words} is taken out.")
    return redirect("supplier-terms", offer.supplier_id)
