from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.models import Job, Precedence
from jobs.plans import JobClosed, JobQuoted
from jobs.precedences import NotDecided, let_before, take_back
from jobs.queries import planned_work, standing_precedences
from jobs.standing import standings
from shopstock.roles import allow

from .forms import LetBeforeForm


@allow("look")
def competing(request: HttpRequest) -> HttpResponse:
    """Planned jobs in the order in which they get cloth, and what each lacks."""
    return _page(request)


@allow("plan jobs")
@require_POST
def let_job_before(request: HttpRequest, pk: int) -> HttpResponse:
    first = get_object_or_404(Job, pk=pk)
    form = LetBeforeForm(request.POST, jobs=planned_work().exclude(pk=pk), auto_id=f"job-{pk}-%s")
    if form.is_valid():
        data = form.cleaned_data
        try:
            let_before(first=first, then=[data["then"]], reason=data["reason"], by=request.user, at=timezone.now())
        except NotDecided as error:
            form.add_error(None, str(error))
        except (JobClosed, JobQuoted) as error:  # it has no place on the page any more
            messages.error(request, str(error))
            return redirect("competing")
        else:
            messages.success(request, f"{first} gets cloth before {data['then']} from now on.")
            return redirect("competing")
    return _page(request, {first.pk: form})


@allow("plan jobs")
@require_POST
def take_decision_back(request: HttpRequest, pk: int) -> HttpResponse:
    decision = get_object_or_404(Precedence.objects.select_related("first", "then"), pk=pk)
    take_back(decision=decision, by=request.user, at=timezone.now())
    messages.success(request, f"{decision.first} and {decision.then} get cloth in the order of their days again.")
    return redirect("competing")


def _page(request: HttpRequest, filled: dict[int, LetBeforeForm] | None = None) -> HttpResponse:
    rows = standings(timezone.localdate())
    forms = {
        row.job.pk: LetBeforeForm(jobs=row.could_wait, auto_id=f"job-{row.job.pk}-%s") for row in rows if row.could_wait
    }
    forms |= filled or {}
    context = {
        "rows": [(row, forms.get(row.job.pk)) for row in rows],
        "lacking": sum(not row.can_be_cut for row in rows),
        "decisions": standing_precedences().select_related("first", "then", "by"),
    }
    return render(request, "competing/competing.html", context)
