"""Every address of the program with something behind it to show, so that each page can be looked at."""

from dataclasses import dataclass

from django.urls import URLPattern, get_resolver, reverse

from jobs.models import CuttingPlan, Job, Part, Ply
from shopstock.models import Chemical, Container, Fault, Place, Reinforcement, Roll, SetAside, Supplier

FILES = {  # addresses that answer with a file, a picture or a redirect, not with a page
    "find", "sign-out", "stock-export", "label-sheet-pdf", "roll-label-png", "roll-label-pdf", "container-label-png",
    "container-label-pdf", "ordering-file", "plan-file", "plies-export",
}  # fmt: skip
POSTS = {  # addresses that only take what a form sends
    "scan-photo", "scan-cut", "scan-cut-free", "scan-cut-away", "scan-fault", "scan-offcut", "plan-job", "plan-confirm",
    "plan-cancel", "ply-remove", "part-remove", "container-opened",
}  # fmt: skip


@dataclass(frozen=True)
class Page:
    name: str
    address: str


def every_name() -> set[str]:
    return {pattern.name for pattern in _patterns(get_resolver())}


def _patterns(resolver):
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLPattern):
            yield pattern
        else:
            yield from _patterns(pattern)


def pages() -> list[Page]:
    """One page for each name, of the demo shop in the database."""
    arguments = _arguments()
    return [Page(name, reverse(name, args=arguments.get(name, ()))) for name in sorted(every_name() - FILES - POSTS)]


def _arguments() -> dict[str, tuple]:
    roll = Roll.objects.filter(set_asides__state=SetAside.State.OPEN).order_by("pk").first()
    faulty = Fault.objects.select_related("roll").order_by("pk").first()
    quarantined = Roll.objects.filter(condition=Roll.Condition.QUARANTINED).first()
    container = Container.objects.order_by("pk").first()
    plan = CuttingPlan.objects.order_by("pk").first()
    job, part, ply = (model.objects.order_by("pk").first().pk for model in (Job, Part, Ply))
    receipt_key = Roll.objects.order_by("pk").first().movements.earliest("pk").key
    by_name = {
        "receipt": (receipt_key,),
        "roll-fault-clear": (faulty.roll.code, faulty.pk),
        "roll-release": (quarantined.code,),
        "roll-take-back": (roll.code, roll.movements.filter(delta_mm__lt=0).first().pk),
        "reinforcement": (Reinforcement.objects.first().pk,),
        "supplier": (Supplier.objects.first().pk,),
        "place": (Place.objects.first().pk,),
        "chemical": (Chemical.objects.first().pk,),
        "person": (plan.made_by_id,),
        "strip-blanks": (SetAside.objects.filter(state=SetAside.State.OPEN).first().pk,),
        "cutting-plan": (plan.pk,),
        "plan-file": (plan.pk,),
        "plan-confirm": (plan.pk,),
        "plan-cancel": (plan.pk,),
        "part-add": (job,),
        "plies-import": (job,),
        "plies-export": (job,),
        "plan-job": (job,),
        "resin-of-job": (job,),
        "part-edit": (part,),
        "ply-add": (part,),
        "ply-edit": (ply,),
        "scan-roll": (roll.code,),
        "scan-container": (container.code,),
    }
    for name in every_name():
        base, _, verb = name.partition("-")
        if name in by_name:
            continue
        if base in ("reinforcement", "supplier", "place", "chemical", "job") and verb in ("edit", "cancel", ""):
            by_name[name] = by_name.get(base, (job,))
        elif base == "roll":
            by_name[name] = (roll.code,)
        elif base == "container" and verb != "receive":
            by_name[name] = (container.code,)
    return by_name
