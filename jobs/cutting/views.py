from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.models import CuttingPlan, Job
from jobs.plan_making import make_plan
from jobs.planning import CannotPlan
from jobs.plans import JobClosed, notice_cut, strips
from jobs.queries import waiting_for_designer
from shopstock.calc.units import format_length
from shopstock.models import SetAside, Shop
from shopstock.roles import allow

from .actions import PlanGone, PlanIsShort, StalePlan, cancel_plan, confirm_plan
from .cut_file import cut_file
from .cut_list import piece_of, roll_pages
from .forms import ConfirmForm


@allow("plan jobs")
@require_POST
def plan_job(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_object_or_404(Job, pk=job_pk)
    return _offer(request, job)


def _offer(request: HttpRequest, job: Job) -> HttpResponse:
    """Make a plan and show it, or say on the job's page why there is none."""
    try:
        return redirect(make_plan(job=job, by=request.user, at=timezone.now()))
    except (CannotPlan, JobClosed) as error:
        messages.error(request, str(error))
        return redirect(job)


def _plan_or_404(pk: int) -> CuttingPlan:
    return get_object_or_404(CuttingPlan.objects.select_related("job", "made_by", "confirmed_by"), pk=pk)


@allow("look")
def cutting_plan(request: HttpRequest, pk: int) -> HttpResponse:
    plan = _plan_or_404(pk)
    if plan.state == CuttingPlan.State.CONFIRMED:
        notice_cut(plan.job, plan)
    return _plan_page(request, plan, ConfirmForm(is_short=plan.is_short))


def _plan_page(request: HttpRequest, plan: CuttingPlan, form: ConfirmForm) -> HttpResponse:
    pages = roll_pages(plan)
    steps = [step for page in pages for step in page.strips]
    context = {
        "plan": plan,
        "job": plan.job,
        "form": form,
        "pages": pages,
        "lost": [step for step in steps if step.is_lost],
        "taken_mm": sum(page.taken_mm for page in pages),
        "strip_count": len(steps),
        "short": [(row, short) for row in plan.materials for short in row["short"]],
        "waiting": waiting_for_designer(plan.job),
        "newest": plan.job.plans.filter(state__in=[CuttingPlan.State.OFFERED, CuttingPlan.State.CONFIRMED]).first(),
    }
    return render(request, "cutting/plan.html", context)


@allow("confirm plans")
@require_POST
def confirm(request: HttpRequest, pk: int) -> HttpResponse:
    plan = _plan_or_404(pk)
    form = ConfirmForm(request.POST, is_short=plan.is_short)
    if not form.is_valid():
        return _plan_page(request, plan, form)
    accept_short = form.cleaned_data.get("accept_short", False)
    try:
        plan = confirm_plan(plan=plan, by=request.user, at=timezone.now(), accept_short=accept_short)
    except StalePlan as error:
        messages.error(request, f"{error} Nothing was set aside. This is a new plan on the racks as they are now.")
        return _offer(request, plan.job)
    except (PlanGone, PlanIsShort, JobClosed) as error:
        messages.error(request, str(error))
        return redirect(plan.job)
    messages.success(request, _set_aside_words(plan))
    return redirect(plan)


def _set_aside_words(plan: CuttingPlan) -> str:
    lengths = list(plan.strips.values_list("length_mm", flat=True))
    total = format_length(sum(lengths), Shop.current().units)
    return f"{total} in {strips(len(lengths))} is set aside for {plan.job}. The laminator sees it at the roll."


@allow("confirm plans")
@require_POST
def cancel(request: HttpRequest, pk: int) -> HttpResponse:
    plan = _plan_or_404(pk)
    given_back = cancel_plan(plan=plan, at=timezone.now())
    messages.success(request, f"The plan is cancelled; {strips(given_back)} given back.")
    return redirect(plan.job)


@allow("look")
def plan_file(request: HttpRequest, pk: int) -> HttpResponse:
    plan = _plan_or_404(pk)
    response = HttpResponse(cut_file(roll_pages(plan)).encode("utf-8-sig"), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="cut-list-{plan.pk}.csv"'
    return response


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
    }
    template = "cutting/blanks_of_strip.html" if request.htmx else "cutting/strip.html"
    return render(request, template, context)
