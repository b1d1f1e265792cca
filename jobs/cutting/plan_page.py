"""What the page of a plan shows; the whole page and the parts of it that change while a search goes on."""

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from jobs.models import CuttingPlan, StandIn
from jobs.plan_runs import last_run
from jobs.queries import jobs_of, plans_with, waiting_for_designer

from .cut_list import roll_pages
from .forms import ConfirmForm, SearchForm

STANDING = (CuttingPlan.State.OFFERED, CuttingPlan.State.CONFIRMED)


def plan_or_404(pk: int) -> CuttingPlan:
    return get_object_or_404(CuttingPlan.objects.select_related("job", "made_by", "confirmed_by"), pk=pk)


def plan_context(request: HttpRequest, plan: CuttingPlan, form: ConfirmForm | None = None) -> dict:
    pages, jobs = roll_pages(plan), list(jobs_of(plan))
    steps, waiting = [step for page in pages for step in page.strips], waiting_in(plan)
    form = form or ConfirmForm(plan=plan, waiting=waiting)
    return {
        "plan": plan,
        "jobs": jobs,
        "is_planned_work": all(job.is_planned_work for job in jobs),
        "quoted": [job for job in jobs if job.is_quoted],
        "form": form,
        "asks_why": form.asks_why,
        "search_form": SearchForm(),
        "run": last_run(plan) if plan.state == CuttingPlan.State.OFFERED else None,
        "pages": pages,
        "lost": [step for step in steps if step.is_lost],
        "taken_mm": sum(page.taken_mm for page in pages),
        "strip_count": len(steps),
        "short": [(row, short) for row in plan.materials for short in row["short"]],
        "newest": plans_with(plan.job).filter(state__in=STANDING).first(),
        "waiting": waiting,
        "saving": saving_of(plan),
    }


def waiting_in(plan: CuttingPlan) -> list[StandIn]:
    """Stand-ins in the jobs of a plan that wait for the designer's name."""
    return [stand_in for job in jobs_of(plan) for stand_in in waiting_for_designer(job)]


def saving_of(plan: CuttingPlan) -> dict | None:
    """What planning the jobs together saves against one by one; None for one job."""
    if not plan.alone:
        return None
    alone_m2 = sum(plan.alone["cut_off_mm2"].values()) / 1e6
    together_m2 = sum(row["cut_off_m2"] for row in plan.materials)
    short = sum(line["pieces"] for row in plan.materials for line in row["short"])
    return {
        "alone_m2": alone_m2,
        "together_m2": together_m2,
        "saved_m2": alone_m2 - together_m2,
        "percent": 100 * (alone_m2 - together_m2) / alone_m2 if alone_m2 else 0.0,
        "fewer_short": plan.alone["pieces_short"] - short,
    }
