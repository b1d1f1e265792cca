from collections.abc import Mapping
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.calc.stand_in import CLASS_RULES, CLASS_WORDS, compare
from jobs.cloth_taken import bias_choices
from jobs.designers import StandInRefused, name_designer
from jobs.laid_plies import materials_for, resin_kind, sources_of
from jobs.lay_up_sheet import REFUSALS, bending_curve, fibre_curve, methods_named, stretching_curve
from jobs.lay_up_text import LaidFabric, LayUpTextError, in_words, read, written
from jobs.models import Part, StandIn
from jobs.plan_making import make_plan
from jobs.planning import CannotPlan
from jobs.plans import JobClosed
from shopstock.models import Shop
from shopstock.roles import allow

from .actions import choose_stand_in
from .forms import DecisionForm, DesignerForm, RuleForm
from .ratio_table import ratio_table
from .search import Found, find_stand_ins
from .stack_cloth import cloth_of_stack
from .target import NoSpecification, Target, target_of


def _target(request: HttpRequest, part_pk: int) -> Target:
    """Raises NoSpecification."""
    numbers = [int(text) for text in request.GET.getlist("ply") if text.isascii() and text.isdigit()]
    return target_of(part_pk, numbers)


def _back(request: HttpRequest, part_pk: int, error: Exception) -> HttpResponse:
    """To the job with a word, where the part is still there."""
    part = get_object_or_404(Part.objects.select_related("job"), pk=part_pk)
    messages.error(request, str(error))
    return redirect(part.job)


def _rules(request: HttpRequest) -> RuleForm:
    given = {name: request.GET.get(name, field.initial) for name, field in RuleForm.base_fields.items()}
    return RuleForm(given)


@allow("look")
def stand_ins(request: HttpRequest, part_pk: int) -> HttpResponse:
    """What on the racks could stand in for a ply or a whole lay-up, compared direction by direction."""
    try:
        target = _target(request, part_pk)
    except NoSpecification as error:
        return _back(request, part_pk, error)
    form, shop = _rules(request), Shop.current()
    context = target_context(target) | {"form": form}
    if form.is_valid():
        rules = {name: value / 100 for name, value in form.cleaned_data.items()}
        try:
            found = find_stand_ins(target, shop, at=timezone.now(), **rules)
            context |= {"found": found, "carried": carried(target, form.cleaned_data)}
            context |= {"tolerance": rules["tolerance"], "methods": methods_named(strength_named(found))}
            if found.rows:
                context |= overlay(target, found.rows[0].plies)
        except REFUSALS as error:
            context["problem"] = str(error)
    if len(target.replaced) == 1:
        context["bias"] = bias_choices(target.replaced[0], shop, timezone.now())
    return render(request, "standing_in/stand_ins.html", context)


def strength_named(found: Found) -> str | None:
    rows = [*found.rows, *found.short]
    return rows[0].comparison.strength_method if rows else None


def target_context(target: Target) -> dict:
    return {
        "target": target,
        "job": target.job,
        "part": target.part,
        "specified_words": in_words(target.specified),
        "resin_known": target.job.resin is not None,
        "classes": CLASS_WORDS,
        "class_rules": CLASS_RULES,
    }


def carried(target: Target, rules: Mapping) -> str:
    """The question as an address carries it on."""
    plies = [("ply", ply.pk) for ply in target.replaced]
    return urlencode([*plies, *rules.items()])


def overlay(target: Target, plies: list[LaidFabric]) -> dict:
    """Specified and offered on one drawing, whole stacks; raises REFUSALS."""
    gap, materials = target.gap, materials_for(resin_kind(target.job))
    offered = gap.filled(target.laid(plies))
    stacks = [("specified", gap.specified), (f"offered: {in_words(plies)}", offered)]
    return {
        "fibre_curves": [fibre_curve(name, stack) for name, stack in stacks],
        "stretching_curves": [stretching_curve(name, stack, materials) for name, stack in stacks],
        "bending_curves": [bending_curve(name, stack, materials) for name, stack in stacks],
    }


@allow("pick another fabric")
def choose(request: HttpRequest, part_pk: int) -> HttpResponse:
    """One stand-in with all its figures; choosing it lays it, records why, and plans the job again."""
    rules = _rules(request)
    try:
        target = _target(request, part_pk)
        plies = read(request.GET.get("stack", ""))
    except (NoSpecification, LayUpTextError) as error:
        return _back(request, part_pk, error)
    if not rules.is_valid():
        messages.error(request, "The limits in this address cannot be read. Set them again.")
        return redirect(target.job)
    limits = {name: value / 100 for name, value in rules.cleaned_data.items()}
    form = DecisionForm(request.POST or None, initial={"shown": written(target.specified)})
    if request.method == "POST" and form.is_valid():
        done = _chosen(request, target, plies, limits, form)
        if done is not None:
            return done
    context = target_context(target) | {"form": form, "words": in_words(plies)}
    try:
        context |= _figures(target, plies, limits) | overlay(target, plies)
    except REFUSALS as error:
        context["problem"] = str(error)
    context["carried"] = carried(target, rules.cleaned_data)
    return render(request, "standing_in/choose.html", context)


def _figures(target: Target, plies: list[LaidFabric], limits: Mapping) -> dict:
    gap, materials = target.gap, materials_for(resin_kind(target.job))
    laid = target.laid(plies)
    found = compare(gap.filled(laid), gap.specified, materials, **limits)
    cloth = cloth_of_stack(target, plies, Shop.current(), timezone.now())
    return {
        "found": found,
        "cloth": cloth,
        "ratios": ratio_table(found.ratios, found.other_ratios | cloth.figures, limits["tolerance"]),
        "methods": methods_named(found.strength_method),
        "sources": sources_of([*gap.specified, *laid], materials),
    }


def _chosen(request: HttpRequest, target: Target, plies, limits: Mapping, form: DecisionForm) -> HttpResponse | None:
    """Lay it and plan again; None when it was refused, with the reason in the form."""
    now = timezone.now()
    try:
        decision = choose_stand_in(target=target, plies=plies, by=request.user, at=now, **limits, **form.cleaned_data)
    except (StandInRefused, JobClosed, NoSpecification, *REFUSALS) as error:
        form.add_error(None, str(error))
        return None
    messages.success(request, f"{decision} is recorded, class {decision.grade}. {_what_next(decision)}")
    try:
        return redirect(make_plan(job=decision.job, by=request.user, at=now))
    except CannotPlan as error:
        messages.error(request, str(error))
        return redirect(decision.job)


def _what_next(decision: StandIn) -> str:
    if decision.waits_for_designer:
        return "The job is marked until the designer’s name is entered. This is a new plan."
    return "This is a new plan of the job."


@allow("look")
def stand_in(request: HttpRequest, pk: int) -> HttpResponse:
    return _record(request, pk, DesignerForm())


def _record(request: HttpRequest, pk: int, form: DesignerForm) -> HttpResponse:
    found = get_object_or_404(StandIn.objects.select_related("job", "by", "designer_noted_by"), pk=pk)
    context = {
        "decision": found,
        "form": form,
        "ratios": ratio_table(found.ratios, found.other_ratios, found.tolerance),
        "tolerance_percent": 100 * found.tolerance,
        "limit_percent": 100 * found.limit,
        "class_rules": CLASS_RULES,
    }
    return render(request, "standing_in/stand_in.html", context)


@allow("pick another fabric")
@require_POST
def designer(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(StandIn, pk=pk)
    form = DesignerForm(request.POST)
    if not form.is_valid():
        return _record(request, pk, form)
    try:
        name_designer(decision=found, designer=form.cleaned_data["designer"], by=request.user, at=timezone.now())
    except StandInRefused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{form.cleaned_data['designer']} is noted. The job’s mark is taken off.")
    return redirect(found)
