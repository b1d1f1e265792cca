"""Every address of the program with something behind it to show, so that each page can be looked at."""

from dataclasses import dataclass

from django.urls import URLPattern, get_resolver, reverse
from django.utils import timezone

from jobs.lay_up_text import LaidFabric, written
from jobs.models import CuttingPlan, Job, Part, Ply, StandIn
from jobs.standing_in.actions import choose_stand_in
from jobs.standing_in.target import target_of
from labels.models import PrintMedium, PrintRun
from shopstock.climate.actions import new_sensor
from shopstock.models import (
    Chemical,
    Container,
    Fault,
    Movement,
    Order,
    OrderLine,
    Place,
    PlaceRule,
    RecountRound,
    Reinforcement,
    Roll,
    SetAside,
    Supplier,
)
from shopstock.resins.actions import add_data_sheet
from shopstock.watching.actions import give_feed
from tests.factories import NOON

# Pages that show something only when they are asked something.
ASKED = {
    "laminate-sheet": "?process=hand&resin=polyester&method=rule&woven_factor=1.0&p1-fabric={fabric}&p1-direction=0",
    "what-if": "?like={job}&times=2&by=week+20",
    "choose-fabric": "?shape=single&load=two&resin=polyester&process=hand&thickness=3",
    "compare-lay-ups": "?resin=polyester&process=hand&lay-up={fabric}:0x2&lay-up={fabric}:90x3",
    "stand-in-choose": "?stack={fabric}:0x1",
    "scan-test": "?text=HTTPS%3A%2F%2FSTORE.LAN%2FR%2FB000008",
    "scan-delivery": "?text=%2801%2999521234567892%288001%2912700010007601%2810%29L2407A",
}


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


def asked_about() -> dict[str, int]:
    """What the questions in ASKED name."""
    laid = Job.objects.filter(parts__plies__isnull=False).order_by("pk").first()
    return {"fabric": Reinforcement.objects.first().pk, "job": laid.pk}


def pages() -> list[Page]:
    """One page for each name, of the demo shop in the database."""
    arguments = _arguments()
    asked = asked_about()
    return [
        Page(name, reverse(name, args=arguments.get(name, ())) + ASKED.get(name, "").format(**asked))
        for name in sorted(every_name())
    ]


def a_stand_in(by) -> StandIn:
    """One that still waits for the designer, so that the page shows all it can."""
    part = Part.objects.filter(job__state=Job.State.DRAFT, plies__isnull=False).distinct().latest("pk")
    target = target_of(part.pk, [part.plies.first().pk])
    mat = LaidFabric(Reinforcement.objects.filter(form="mat").latest("areal_weight_gsm"), Ply.Direction.ANY)
    limits = {"tolerance": 0.05, "limit": 0.15, "shown": written(target.specified)}
    return choose_stand_in(target=target, plies=[mat], why="none left", designer="", by=by, at=NOON, **limits)


def storage_arguments(person, container, place) -> dict[str, tuple]:
    """What the pages of climate, watch and data sheets need to have something to show."""
    sensor, _ = new_sensor(place=place, name="probe", by=person, at=NOON)
    wish = {"kind": "safety", "title": "Safety data sheet", "file": b"%PDF-1.7", "by": person, "at": NOON}
    sheet = add_data_sheet(chemical=container.chemical, **wish)
    rule = {"beside": "resin", "reason": "drips", "made_by": person, "made_at": NOON}
    pairs = PlaceRule.objects.filter(subject="fabric", beside="resin")
    own = pairs.first() or PlaceRule.objects.create(subject="fabric", **rule)
    climate = dict.fromkeys(("place-climate", "climate-read", "climate-import", "sensor-add"), (place.pk,))
    return climate | {
        "sensor-stop": (sensor.pk,),
        "chemical-sheet-add": (container.chemical_id,),
        "chemical-sheet": (sheet.pk,),
        "chemical-sheet-remove": (sheet.pk,),
        "place-rule-remove": (own.pk,),
        "watch-feed": (give_feed(person=person, at=NOON),),
    }


def _arguments() -> dict[str, tuple]:
    roll = Roll.objects.filter(set_asides__state=SetAside.State.OPEN).order_by("pk").first()
    faulty = Fault.objects.select_related("roll").order_by("pk").first()
    quarantined = Roll.objects.filter(condition=Roll.Condition.QUARANTINED).first()
    cut = Movement.objects.filter(kind=Movement.Kind.CUT).select_related("roll").first()
    container = Container.objects.order_by("pk").first()
    plan = CuttingPlan.objects.order_by("pk").first()
    job, part, ply = (model.objects.order_by("pk").first().pk for model in (Job, Part, Ply))
    stand_in = a_stand_in(plan.made_by).pk
    run, medium, place = PrintRun.objects.first().pk, PrintMedium.objects.first().pk, Place.objects.first().code
    offcut = Roll.objects.filter(kind=Roll.Kind.OFFCUT).order_by("pk").first()
    photographed = Fault.objects.exclude(photo="").select_related("roll").first()
    recount = RecountRound.objects.first()
    by_name = {
        "fault-photo": (photographed.roll.code, photographed.pk),
        "roll-bin": (offcut.code,),
        "recount-round": (recount.pk,),
        "recount-count": (recount.pk, roll.code),
        "recount-close": (recount.pk,),
        "cut-habit": ("mat",),
        **storage_arguments(plan.made_by, container, Place.objects.first()),
        "receipt": ("demo-roll",),
        "roll-fault-clear": (faulty.roll.code, faulty.pk),
        "roll-release": (quarantined.code,),
        "roll-take-back": (cut.roll.code, cut.pk),
        "reinforcement": (Reinforcement.objects.first().pk,),
        "supplier": (Supplier.objects.first().pk,),
        "place": (Place.objects.first().pk,),
        "chemical": (Chemical.objects.first().pk,),
        "person": (plan.made_by_id,),
        "ordering-file": (Supplier.objects.first().pk,),
        **{name: (Supplier.objects.first().pk,) for name in ("order-write", "supplier-terms", "offer-add")},
        **{name: (Reinforcement.objects.first().pk,) for name in ("cloth-outlook", "widths-to-buy")},
        "resin-outlook": (Chemical.objects.first().pk,),
        "offer-remove": (0,),
        "precedence-take-back": (0,),
        **_order_arguments(plan.made_by),
        "strip-blanks": (SetAside.objects.filter(state=SetAside.State.OPEN).first().pk,),
        "cutting-plan": (plan.pk,),
        "plan-file": (plan.pk,),
        "plan-confirm": (plan.pk,),
        "plan-cancel": (plan.pk,),
        "plan-progress": (plan.pk,),
        "plan-stop": (plan.pk,),
        "plan-search": (plan.pk,),
        "plan-by-hand": (plan.pk,),
        "plan-print": (plan.pk,),
        "part-add": (job,),
        "plies-import": (job,),
        "plies-export": (job,),
        "plan-job": (job,),
        "resin-of-job": (job,),
        "mix-job": (job, "resin"),
        "mixes-of-job": (job,),
        "part-edit": (part,),
        "part-history": (part,),
        "person-unlock": (plan.made_by_id,),
        "tablet-end": (1,),
        "part-laminate": (part,),
        "stand-ins": (part,),
        "stand-in-choose": (part,),
        "stand-in": (stand_in,),
        "stand-in-designer": (stand_in,),
        "material-properties-edit": ("fibre:e_glass",),
        "material-properties-default": ("fibre:e_glass",),
        "part-remove": (part,),
        "ply-remove": (ply,),
        "scan-offcut": (roll.code, cut.pk, 0),
        "ply-add": (part,),
        "ply-edit": (ply,),
        "ply-outline": (ply,),
        "ply-outline-remove": (ply,),
        "cut-tickets": (plan.pk,),
        "cut-tickets-pdf": (plan.pk,),
        "kit-labels-pdf": (plan.pk,),
        "print-run": (run,),
        "print-run-pdf": (run,),
        "print-run-spoilt": (run,),
        "label-medium": (medium,),
        "label-trial-page": (medium,),
        "label-wish-drop": (roll.code,),
        "place-label-png": (place,),
        "place-label-pdf": (place,),
        "scan-place": (place,),
        "scan-test": (),
        "scan-delivery": (),
        "scan-roll": (roll.code,),
        "scan-container": (container.code,),
    }
    for name in every_name():
        base, _, verb = name.partition("-")
        if name in by_name:
            continue
        if base in ("reinforcement", "supplier", "place", "chemical", "job") and verb in (
            *("edit", "cancel", "taken-on", "before"),
            "",
        ):
            by_name[name] = by_name.get(base, (job,))
        elif base == "roll" or (base == "scan" and verb not in ("", "photo")):
            by_name[name] = (roll.code,)
        elif base == "container" and verb != "receive":
            by_name[name] = (container.code,)
    return by_name


def _order_arguments(by) -> dict[str, tuple]:
    """A draft with one line to look at."""
    kind = Reinforcement.objects.order_by("pk").first()
    values = {"supplier": Supplier.objects.first(), "currency": "EUR", "made_by": by, "made_at": timezone.now()}
    order, _ = Order.objects.get_or_create(key="looked-at", defaults=values)
    size = {"width_mm": kind.width_mm, "length_mm": kind.roll_length_mm, "packs": 1, "reason": "to look at"}
    line, _ = OrderLine.objects.get_or_create(order=order, reinforcement=kind, defaults=size)
    of_order = ("", "-terms", "-day", "-line-add", "-approve", "-sent", "-cancel", "-pdf", "-csv", "-text", "-came")
    of_line = ("order-line-edit", "order-line-remove", "order-line-close")
    return {f"order{verb}": (order.pk,) for verb in of_order} | dict.fromkeys(of_line, (line.pk,))
