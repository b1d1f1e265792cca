from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from shopstock.calc import neighbours
from shopstock.models import PlaceRule
from shopstock.roles import allow

from .forms import PlaceRuleForm

WHERE = neighbours.CONDITIONS | {key: f"beside {name}" for key, name in neighbours.GROUPS.items()}


@allow("look")
def rules(request: HttpRequest) -> HttpResponse:
    trade = [(neighbours.GROUPS[rule.subject], WHERE[rule.beside], rule) for rule in neighbours.RULES]
    own = [
        (neighbours.GROUPS.get(rule.subject, rule.subject), WHERE.get(rule.beside, rule.beside), rule)
        for rule in PlaceRule.objects.select_related("made_by")
    ]
    return render(request, "materials/place_rules.html", {"trade": trade, "own": own})


@allow("change settings")
def add_rule(request: HttpRequest) -> HttpResponse:
    form = PlaceRuleForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        rule = form.save(commit=False)
        rule.made_by, rule.made_at = request.user, timezone.now()
        rule.save()
        messages.success(request, "The rule holds from now on; what breaks it already is on the watch.")
        return redirect("place-rules")
    context = {"form": form, "title": "Add a rule of the shop’s own", "back": "place-rules"}
    return render(request, "shopstock/edit.html", context)


@require_POST
@allow("change settings")
def remove_rule(request: HttpRequest, pk: int) -> HttpResponse:
    get_object_or_404(PlaceRule, pk=pk).delete()
    messages.success(request, "The rule does not hold any more.")
    return redirect("place-rules")
