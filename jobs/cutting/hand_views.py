"""Where the owner settles things before a plan is made: by hand for one plan, or several jobs together."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from jobs.plan_making import make_plan
from jobs.plan_search import questions_of
from jobs.planning import CannotPlan
from jobs.plans import JobClosed
from jobs.queries import jobs_of, planned_work, strips_in_order
from shopstock.models import Shop
from shopstock.roles import allow

from .forms import HandForm, TogetherForm
from .plan_page import STANDING, plan_or_404


@allow("plan jobs")
def by_hand(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave rolls out, keep strips that are marked out, tie pieces to a roll; the rest is planned around it."""
    plan = plan_or_404(pk)
    if plan.state not in STANDING:
        messages.error(request, f"This plan is {plan.get_state_display()}: plan again from the job.")
        return redirect(plan)
    form = HandForm(
        request.POST if request.method == "POST" else None,
        plan=plan,
        strips=list(strips_in_order(plan)),
        questions=list(questions_of(plan).values()),
        units=Shop.current().units,
    )
    if request.method == "POST" and form.is_valid():
        also = [job for job in jobs_of(plan) if job != plan.job]
        try:
            made = make_plan(job=plan.job, also=also, wishes=form.wishes(), by=request.user, at=timezone.now())
        except (CannotPlan, JobClosed) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "This is the plan around what you settled.")
            return redirect(made)
    return render(request, "cutting/by_hand.html", {"form": form, "plan": plan})


@allow("plan jobs")
def together(request: HttpRequest) -> HttpResponse:
    jobs = list(planned_work())
    form = TogetherForm(request.POST if request.method == "POST" else None, jobs=jobs)
    if request.method == "POST" and form.is_valid():
        first, *also = form.cleaned_data["jobs"]
        try:
            return redirect(make_plan(job=first, also=also, by=request.user, at=timezone.now()))
        except (CannotPlan, JobClosed) as error:
            form.add_error(None, str(error))
    return render(request, "cutting/together.html", {"form": form, "jobs": jobs})
