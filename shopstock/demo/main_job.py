"""The main job of the program walked once, through the same functions as the screens use."""

import datetime
import json
from decimal import Decimal

from django.conf import settings
from django.db.models import Sum
from django.urls import reverse

from jobs.cutting.actions import confirm_plan
from jobs.models import CuttingPlan, Job, Part, PlannedStrip, Ply
from jobs.plan_making import make_plan
from labels.calc.sheet_geometry import MEDIA
from labels.drawing.pdf import labels_pdf
from labels.media import offered
from labels.runs import record_run
from labels.sheets.printing import to_print
from shopstock import ledger
from shopstock.calc.units import METRIC, format_length
from shopstock.models import Container, Movement, Roll, SetAside, Shop
from shopstock.queries import open_rolls
from shopstock.to_order import order_lines
from shopstock.to_order_line import OrderLine

from .store import SHOP_FILE, DemoShop

LABELS_FILE = settings.DATA_DIR / "demo-labels.pdf"


def walk_main_job(shop: DemoShop) -> list[str]:
    """Label, plan, set aside, cut the first strip; what was received is in the store already."""
    print_labels(shop)
    jobs = [write_job(shop, row) for row in json.loads(SHOP_FILE.read_text(encoding="utf-8"))["jobs"]]
    plan = make_plan(job=jobs[0], by=shop.people["olga"], at=shop.now)
    confirm_plan(plan=plan, by=shop.people["olga"], at=shop.now, accept_short=plan.is_short)
    cut_first_strip(shop, plan)
    return told(shop)


def print_labels(shop: DemoShop) -> None:
    settings.DATA_DIR.mkdir(parents=True, exist_ok=True)
    wanted = to_print(list(open_rolls().select_related("reinforcement", "supplier", "place")))
    labels = [one.label(Shop.current()) for one in wanted]
    LABELS_FILE.write_bytes(labels_pdf(labels, MEDIA[0]))
    record_run(lines=[one.line for one in wanted], row=offered()[0], first=1, by=shop.people["carla"], at=shop.now)


def write_job(shop: DemoShop, row: dict) -> Job:
    job = Job.objects.create(
        name=row["name"],
        cut_on=shop.now.date() + datetime.timedelta(days=row["cut_in_days"]),
        resin=shop.chemicals[row["resin"]],
        gelcoat=shop.chemicals[row["gelcoat"]],
        gelcoat_area_m2=Decimal(row["gelcoat_area_m2"]),
        chance_percent=row.get("chance_percent"),
        made_by=shop.people["olga"],
        made_at=shop.now,
    )
    for part_row in row["parts"]:
        part = Part.objects.create(job=job, name=part_row["name"], count=part_row["count"])
        for number, (name, length_mm, width_mm, direction) in enumerate(part_row["plies"], start=1):
            Ply.objects.create(
                part=part,
                number=number,
                reinforcement=shop.reinforcements[name],
                length_mm=length_mm,
                width_mm=width_mm,
                direction=direction,
            )
    return job


def cut_first_strip(shop: DemoShop, plan: CuttingPlan) -> Movement:
    """The laminator cuts the first strip of the plan, 12 mm longer than planned, as hands do."""
    strip = plan.strips.select_related("roll", "set_aside").order_by("roll_id", "number").first()
    ahead = cloth_to_cut_away(strip)
    if ahead:
        ledger.record_loss(
            roll=strip.roll, length_mm=ahead, by=shop.people["luis"], at=shop.now, key="demo-end", reason="fault ahead"
        )
    return ledger.record_cut(
        roll=strip.roll,
        length_mm=strip.length_mm + 12,
        by=shop.people["luis"],
        at=shop.now,
        key="demo-cut",
        set_aside=strip.set_aside,
    )


def cloth_to_cut_away(strip: PlannedStrip) -> int:
    """How much lies in front of the first strip of its roll."""
    return strip.from_mm


def told(shop: DemoShop) -> list[str]:
    """What was done and how things stand, in words."""
    rolls, containers = open_rolls(), Container.objects.filter(mass_g__gt=0)
    cut = Movement.objects.filter(kind=Movement.Kind.CUT).select_related("roll__reinforcement", "by").last()
    plan = CuttingPlan.objects.filter(state=CuttingPlan.State.CONFIRMED).select_related("job").last()
    quarantined = [roll for roll in rolls if roll.condition == Roll.Condition.QUARANTINED]
    lines = [
        f"Received     {Roll.objects.count()} rolls ({metres(total(rolls, 'length_mm'))} on the racks) and "
        f"{containers.count()} drums and pails, through the ledger.",
        *[f"Quarantined  {roll.reinforcement}, roll {roll.code}: {roll.condition_reason}." for roll in quarantined],
        f"Labelled     every roll, on sheets to print: {LABELS_FILE.relative_to(settings.BASE_DIR)}"
        if LABELS_FILE.is_relative_to(settings.BASE_DIR)
        else f"Labelled     every roll, on sheets to print: {LABELS_FILE}",
    ]
    if plan:
        lines += plan_told(plan)
    if cut:
        lines += [
            f"Cut          {metres(-cut.delta_mm)} of {cut.roll.reinforcement} by {cut.by} for {cut.reason}.",
            f"Left         {metres(cut.balance_after_mm)} on roll {cut.roll.code}; its page: "
            f"{reverse('scan-roll', args=[cut.roll.code])}",
        ]
    return lines + orders_told(shop.now.date())


def plan_told(plan: CuttingPlan) -> list[str]:
    taken = sum(row["taken_mm"] for row in plan.materials)
    waste = sum(row["waste_m2"] for row in plan.materials) / max(sum(row["taken_m2"] for row in plan.materials), 1e-9)
    promised = SetAside.objects.filter(planned_strip__plan=plan, state=SetAside.State.OPEN)
    return [
        f"Planned      {plan.job}: {sum(strip.blanks.count() for strip in plan.strips.all())} pieces in "
        f"{plan.strips.count()} strips, {metres(taken)} of cloth, {waste:.0%} waste.",
        f"Set aside    {metres(total(promised, 'length_mm'))} for it; nobody else is offered that cloth.",
    ]


def orders_told(on: datetime.date) -> list[str]:
    found = order_lines(on)
    if not found:
        return ["To order     nothing: planned work is covered."]
    return [f"To order     {order_told(line)}" for line in found]


def order_told(line: OrderLine) -> str:
    where = f" from {line.supplier}" if line.supplier else ""
    when = f", by {line.order_by.day}" if line.order_by else ""
    return f"{line.item}: {line.buy}{where}{when} ({'; '.join(line.reasons)})."


def total(rows, field: str) -> int:
    return rows.aggregate(total=Sum(field))["total"] or 0


def metres(length_mm: int) -> str:
    return format_length(round(length_mm, -1), METRIC)  # centimetres are enough to read
