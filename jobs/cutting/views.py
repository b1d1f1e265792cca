from collections.abc import Callable, Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.designers import DesignerMissing
from jobs.models import CuttingPlan, Job
from jobs.plan_making import make_plan
from jobs.planning import CannotPlan
from jobs.plans import JobClosed, JobQuoted, notice_cut, strips
from jobs.precedences import NotDecided
from jobs.queries import jobs_of
from shopstock.calc.units import format_length
from shopstock.models import SetAside, Shop
from shopstock.roles import allow

from .actions import PlanBettered, PlanGone, PlanIsShort, StalePlan, TakesFromOthers, cancel_plan, confirm_plan
from .cut_file import cut_file
from .cut_list import piece_of, roll_pages, streaks_beside
from .forms import ConfirmForm
from .plan_page import plan_context, plan_or_404, waiting_in


@allow("plan jobs")
@require_POST
def plan_job(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_object_or_404(Job, pk=job_pk)
    return _offer(request, job)


def _opened(request: HttpRequest, plan: CuttingPlan) -> HttpResponse:
    return redirect(plan)


def _offer(
    request: HttpRequest,
    job: Job,
    *,
    also: Sequence[Job] = (),
    show: Callable[[HttpRequest, CuttingPlan], HttpResponse] = _opened,
) -> HttpResponse:
    """Make a plan and show it, or say on the job's page why there is none."""
    try:
        made = make_plan(job=job, also=also, by=request.user, at=timezone.now())
    except (CannotPlan, JobClosed) as error:
        messages.error(request, str(error))
        return redirect(job)
    return show(request, made)


@allow("look")
def cutting_plan(request: HttpRequest, pk: int) -> HttpResponse:
    plan = plan_or_404(pk)
    if plan.state == CuttingPlan.State.CONFIRMED:
        for job in jobs_of(plan):
            notice_cut(job, plan)
    return render(request, "cutting/plan.html", plan_context(request, plan))


@allow("confirm plans")
@require_POST
def confirm(request: HttpRequest, pk: int) -> HttpResponse:
    plan = plan_or_404(pk)
    form = ConfirmForm(request.POST, plan=plan, waiting=waiting_in(plan))
    if not form.is_valid():
        return render(request, "cutting/plan.html", plan_context(request, plan, form))
    cleaned = form.cleaned_data
    try:
        plan = confirm_plan(
            plan=plan,
            by=request.user,
            at=timezone.now(),
            accept_short=cleaned.get("accept_short", False),
            revision=cleaned["revision"],
            designers=form.designers,
            why_first=cleaned["why_first"],
        )
    except (TakesFromOthers, NotDecided) as error:
        form.ask_why_first(str(error))
        messages.error(request, f"Nothing is set aside yet. {error}")  # the field stands below what is short
        return render(request, "cutting/plan.html", plan_context(request, plan, form))
    except StalePlan as error:
        messages.error(request, f"{error} Nothing was set aside. This is a new plan on the racks as they are now.")
        return _offer(request, plan.job, also=list(plan.also.all()), show=_with_what_was_typed)
    except (PlanBettered, DesignerMissing) as error:
        messages.error(request, str(error))
        return _with_what_was_typed(request, plan_or_404(pk))
    except (PlanGone, PlanIsShort, JobClosed, JobQuoted) as error:
        messages.error(request, str(error))
        return redirect(plan.job)
    messages.success(request, _set_aside_words(plan))
    return redirect(plan)


def _with_what_was_typed(request: HttpRequest, plan: CuttingPlan) -> HttpResponse:
    """The plan as it is now, to be looked at and confirmed without typing again."""
    typed = request.POST.copy()
    typed["revision"] = str(plan.revision)
    form = ConfirmForm(typed, plan=plan, waiting=waiting_in(plan), asks_why=bool(typed.get("why_first", "").strip()))
    return render(request, "cutting/plan.html", plan_context(request, plan, form))


def _set_aside_words(plan: CuttingPlan) -> str:
    lengths = list(plan.strips.values_list("length_mm", flat=True))
    total = format_length(sum(lengths), Shop.current().units)
    jobs = " and ".join(map(str, jobs_of(plan)))
    return f"{total} in {strips(len(lengths))} is set aside for {jobs}. The laminator sees it at the roll."


@allow("confirm plans")
@require_POST
def cancel(request: HttpRequest, pk: int) -> HttpResponse:
    plan = plan_or_404(pk)
    given_back = cancel_plan(plan=plan, at=timezone.now())
    messages.success(request, f"The plan is cancelled; {strips(given_back)} given back.")
    return redirect(plan.job)


@allow("look")
def plan_file(request: HttpRequest, pk: int) -> HttpResponse:
    plan = plan_or_404(pk)
    response = HttpResponse(cut_file(roll_pages(plan)).encode("utf-8-sig"), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="cut-list-{plan.pk}.csv"'
    return response


@allow("look")
def plan_print(request: HttpRequest, pk: int) -> HttpResponse:
    """The cut list on paper: each roll with its drawing, its steps and each strip to scale."""
    plan = plan_or_404(pk)
    return render(request, "cutting/print.html", plan_context(request, plan))


@allow("look")
def strip_blanks(request: HttpRequest, pk: int) -> HttpResponse:
    """The pieces to cut out of one strip: a page, or a piece of the page at the roll."""
    promise = get_object_or_404(SetAside.objects.select_related("roll__reinforcement"), pk=pk)
    strip = getattr(promise, "planned_strip", None)
    blanks = list(strip.blanks.select_related("ply")) if strip else []
    context = {
        "promise": promise,
        "roll": promise.roll,
        "strip": strip,
        "blanks": blanks,
        "pieces": [piece_of(blank) for blank in blanks],
        "streaks": streaks_beside(promise),
    }
    template = "cutting/blanks_of_strip.html" if request.htmx else "cutting/strip.html"
    return render(request, template, context)
