from django.contrib import messages
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.cloth_taken import bias_choices
from jobs.models import Job, Part, Ply
from jobs.plans import JobClosed
from jobs.queries import with_lay_up
from shopstock.models import Reinforcement, Shop
from shopstock.roles import allow

from . import actions
from .forms import PartForm, PlyFileForm, PlyForm
from .ply_file import COLUMNS, read_plies, written

REFUSALS = (JobClosed, actions.LayUpFixed)
TWICE = "It was saved just before, perhaps by a second tap. Look at the job."


def tried(form, action, **values):
    """Do what a valid form asks for; a refusal becomes the form's message and what was typed stays."""
    try:
        return action(**values)
    except REFUSALS as error:
        field = getattr(error, "field", None)
        form.add_error(field if field in form.fields else None, str(error))
    except IntegrityError:
        form.add_error(None, TWICE)
    return None


@allow("plan jobs")
def add_part(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_object_or_404(Job, pk=job_pk)
    form = PartForm(request.POST or None, job=job)
    if request.method == "POST" and form.is_valid():
        part = tried(form, actions.add_part, job=job, **form.cleaned_data)
        if part:
            messages.success(request, f"{part} is added. Now its plies, from the mould outwards.")
            return redirect("ply-add", part.pk)
    return render(request, "layups/edit_part.html", {"form": form, "job": job, "title": f"Add a part to {job}"})


@allow("plan jobs")
def edit_part(request: HttpRequest, pk: int) -> HttpResponse:
    part = get_object_or_404(Part.objects.select_related("job"), pk=pk)
    form = PartForm(request.POST or None, job=part.job, part=part)
    if (
        request.method == "POST"
        and form.is_valid()
        and tried(form, actions.change_part, part=part, **form.cleaned_data)
    ):
        messages.success(request, f"Saved {part}.")
        return redirect(part.job)
    context = {"form": form, "job": part.job, "part": part, "title": f"Edit {part}"}
    return render(request, "layups/edit_part.html", context)


@allow("plan jobs")
@require_POST
def remove_part(request: HttpRequest, pk: int) -> HttpResponse:
    part = get_object_or_404(Part.objects.select_related("job"), pk=pk)
    try:
        actions.remove_part(part=part)
    except REFUSALS as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{part} and its plies are taken out.")
    return redirect(part.job)


@allow("plan jobs")
def add_ply(request: HttpRequest, part_pk: int) -> HttpResponse:
    part = get_object_or_404(Part.objects.select_related("job"), pk=part_pk)
    form = PlyForm(request.POST or None, part=part)
    if request.method == "POST" and form.is_valid():
        ply = tried(form, actions.add_ply, part=part, **form.values())
        if ply:
            messages.success(request, f"Ply {ply.number} of {part} is added.")
            return redirect(*(["ply-add", part.pk] if "another" in request.POST else [part.job]))
    return render(request, "layups/edit_ply.html", {"form": form, "part": part, "title": f"Add a ply to {part}"})


@allow("plan jobs")
def edit_ply(request: HttpRequest, pk: int) -> HttpResponse:
    ply = get_object_or_404(Ply.objects.select_related("part__job", "reinforcement"), pk=pk)
    form = PlyForm(request.POST or None, part=ply.part, ply=ply)
    if request.method == "POST" and form.is_valid() and tried(form, actions.change_ply, ply=ply, **form.values()):
        messages.success(request, f"Saved ply {ply.number} of {ply.part}.")
        return redirect(ply.part.job)
    context = {"form": form, "part": ply.part, "ply": ply, "title": f"Edit ply {ply.number} of {ply.part}"}
    context["bias"] = bias_choices(ply, Shop.current(), timezone.now())
    return render(request, "layups/edit_ply.html", context)


@allow("plan jobs")
@require_POST
def remove_ply(request: HttpRequest, pk: int) -> HttpResponse:
    ply = get_object_or_404(Ply.objects.select_related("part__job"), pk=pk)
    try:
        actions.remove_ply(ply=ply)
    except REFUSALS as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Ply {ply.number} of {ply.part} is taken out.")
    return redirect(ply.part.job)


@allow("plan jobs")
def import_plies(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_object_or_404(Job, pk=job_pk)
    form = PlyFileForm(request.POST or None, request.FILES or None)
    mistakes = []
    if request.method == "POST" and form.is_valid():
        replace = form.cleaned_data["replace"]
        taken = () if replace else Ply.objects.filter(part__job=job).values_list("part__name", "number")
        lines, mistakes = read_plies(form.cleaned_data["content"], taken=taken, overlap_mm=Shop.current().overlap_mm)
        if not mistakes:
            count = tried(form, actions.write_plies, job=job, lines=lines, replace=replace)
            if count:
                messages.success(request, f"{count} {'ply is' if count == 1 else 'plies are'} added to {job}.")
                return redirect(job)
    context = {"form": form, "job": job, "mistakes": mistakes, "columns": COLUMNS, "sample": sample_lines()}
    return render(request, "layups/import_plies.html", context)


def sample_lines() -> list[str]:
    """Two lines that would be read, with names of the shop's own catalogue."""
    names = list(Reinforcement.objects.filter(active=True).values_list("name", flat=True)[:2])
    first, second = (names + names + ["cloth 300", "mat 450"])[:2]
    return [
        ",".join(COLUMNS),
        f"Hull,1,1,{first},4.20 m,1800 mm,1,0,yes,yes,50 mm",
        f"Hull,1,2,{second},4.20 m,1800 mm,1,90,no,yes,50 mm",
    ]


@allow("look")
def export_plies(request: HttpRequest, job_pk: int) -> HttpResponse:
    job = get_object_or_404(with_lay_up(Job.objects.all()), pk=job_pk)
    response = HttpResponse(written(job).encode("utf-8-sig"), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="plies-of-job-{job.pk}.csv"'
    return response
