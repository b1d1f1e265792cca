from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.models import CuttingPlan, Job
from jobs.planning import reinforcements_of
from jobs.plans import JobClosed, notice_cut, strips
from jobs.precedences import decisions_about
from jobs.queries import (
    confirmed_plan,
    plans_with,
    standing_of,
    waiting_for_designer,
    waits_for_designer,
    with_lay_up,
)
from jobs.resin_need import misfits, resin_of_job
from shopstock.listing import list_page
from shopstock.models import SetAside, Shop
from shopstock.roles import allow

from .actions import ClothFixed, NoQuote, change_job, new_job, take_on
from .actions import cancel_job as cancel
from .forms import JobForm, first_values
from .tables import JobFilter, JobTable


@allow("look")
def jobs(request: HttpRequest) -> HttpResponse:
    rows = (
        Job.objects.select_related("resin")
        .annotate(part_count=Count("parts"), waits=waits_for_designer())
        .order_by("cut_on", "name")
    )
    return list_page(
        request,
        table_class=JobTable,
        rows=rows,
        filter_class=JobFilter,
        template="job_list/jobs.html",
        file_name="jobs",
    )


@allow("plan jobs")
def add_job(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    today = timezone.localdate(now)
    form = JobForm(request.POST or None, initial=first_values(today), today=today)
    if request.method == "POST" and form.is_valid():
        made = new_job(job=form.instance, by=request.user, at=now)
        messages.success(request, f"{made} is on the list, to be cut on {made.cut_on}. Now add its parts and plies.")
        return redirect(made)
    return render(request, "job_list/edit_job.html", {"form": form, "title": "Add a job"})


@allow("plan jobs")
def edit_job(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Job, pk=pk)
    form = JobForm(request.POST or None, instance=found, today=timezone.localdate())
    if request.method == "POST" and form.is_valid():
        try:
            change_job(job=form.instance)
        except (ClothFixed, JobClosed, NoQuote) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Saved {found}.")
            return redirect(found)
    return render(request, "job_list/edit_job.html", {"form": form, "title": "Edit the job", "job": found})


@allow("plan jobs")
@require_POST
def take_on_job(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Job, pk=pk)
    try:
        take_on(job=found, by=request.user, at=timezone.now())
    except JobClosed as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{found} is taken on. It counts in full now; its cutting plan can be confirmed.")
    return redirect(found)


@allow("plan jobs")
@require_POST
def cancel_job(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Job, pk=pk)
    try:
        given_back = cancel(job=found, at=timezone.now())
    except JobClosed as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{found} is cancelled; {strips(given_back)} given back.")
    return redirect(found)


@allow("look")
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """The owner's working page: the lay-up, how its cutting stands, and what resin it takes."""
    found = get_object_or_404(with_lay_up(Job.objects.all()), pk=pk)
    plan = confirmed_plan(found)
    notice_cut(found, plan)
    shop = Shop.current()
    context = {
        "job": found,
        "plan": plan,
        "offer": plans_with(found).filter(state=CuttingPlan.State.OFFERED).first(),
        "earlier": plans_with(found).filter(state__in=[CuttingPlan.State.REPLACED, CuttingPlan.State.CANCELLED])[:5],
        "has_plies": bool(reinforcements_of([found])),
        "resin": resin_of_job(found, shop),
        "misfits": misfits(found),
        "stand_ins": found.stand_ins.all(),
        "waiting": waiting_for_designer(found),
        "precedences": decisions_about(found),
        **plan_standing(plan),
    }
    return render(request, "job_list/job.html", context)


def plan_standing(plan: CuttingPlan | None) -> dict:
    standing = {} if plan is None else standing_of(plan)
    return {
        "strip_count": sum(standing.values()),
        "strips_cut": standing.get(SetAside.State.CUT, 0),
        "strips_lost": standing.get(SetAside.State.GIVEN_BACK, 0),
    }
