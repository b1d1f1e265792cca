from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.models import Job
from jobs.plans import JobClosed
from jobs.queries import planned_work, with_lay_up
from jobs.resin_need import JobResin, misfits, supplies
from jobs.resin_need import resin_of_job as work_out
from shopstock.models import Shop
from shopstock.roles import allow, may

from .actions import set_fractions
from .cautions import cautions_for
from .forms import FractionsForm


@allow("look")
def resin_of_job(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_object_or_404(with_lay_up(Job.objects.all()), pk=job_pk)
    if request.method == "POST":
        return save_fractions(request, job)
    return page(request, job, FractionsForm(job=job))


@allow("plan jobs")
def save_fractions(request: HttpRequest, job: Job) -> HttpResponse:
    form = FractionsForm(request.POST, job=job)
    if not form.is_valid():
        return page(request, job, form)
    try:
        changed = set_fractions(job=job, fractions=form.fractions())
    except JobClosed as error:
        form.add_error(None, str(error))
        return page(request, job, form)
    messages.success(request, f"Saved: the fibre share of {changed} plies changed.")
    return redirect("resin-of-job", job.pk)


def page(request: HttpRequest, job: Job, form: FractionsForm) -> HttpResponse:
    shop = Shop.current()
    need = work_out(job, shop)
    context = {
        "job": job,
        "form": form,
        "need": need,
        "parts": with_fields(need, form),
        "supplies": supplies(job, jobs_before(job), shop),
        "misfits": misfits(job),
        "cautions": cautions_for(job.resin),
        "may_edit": may(request.user, "plan jobs") and job.is_planned_work,
        "litres": litres(job, need),
    }
    return render(request, "mixing/resin.html", context)


def with_fields(need: JobResin, form: FractionsForm) -> list:
    return [(part, [(row, form[f"ply_{row.ply.pk}"]) for row in part.plies]) for part in need.parts]


def jobs_before(job: Job) -> list[Job]:
    """Planned work that takes its resin first."""
    return [other for other in planned_work() if (other.cut_on, other.pk) < (job.cut_on, job.pk)]


def litres(job: Job, need: JobResin) -> float | None:
    return None if job.resin is None else need.resin.total_g / 1000 / float(job.resin.density_liquid)
