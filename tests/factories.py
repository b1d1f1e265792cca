"""Boring makers of rows, one a table; stock is made through the ledger, as everywhere."""

import datetime
import itertools
from decimal import Decimal

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group

from shopstock import ledger
from shopstock.models import Chemical, Container, Layer, Place, Reinforcement, Roll, Supplier

NOON = datetime.datetime(2026, 3, 2, 12, 0, tzinfo=datetime.UTC)
TODAY = NOON.date()
PASSWORD = "plain-weave-42"

_numbers = itertools.count(1)


def new_key(prefix: str = "key") -> str:
    return f"{prefix}-{next(_numbers)}"


def make_person(name: str, role: str | None = None):
    person = get_user_model().objects.create_user(username=name, password=PASSWORD)
    if role:
        person.groups.add(Group.objects.get_or_create(name=role)[0])
    return person


def make_supplier(name: str = "Northern Fabrics", **fields) -> Supplier:
    return Supplier.objects.get_or_create(name=name, defaults=fields)[0]


def make_place(name: str = "Rack A1", **fields) -> Place:
    return Place.objects.get_or_create(name=name, defaults=fields)[0]


def make_reinforcement(name: str | None = None, **fields) -> Reinforcement:
    values = {
        "form": "woven_roving",
        "fibre": "e_glass",
        "weave": "plain",
        "areal_weight_gsm": Decimal("600"),
        "width_mm": 1250,
        "roll_length_mm": 50_000,
        "turning": Reinforcement.Turning.BALANCED,
        "price_per_roll": Decimal("120.00"),
    }
    made = Reinforcement.objects.create(name=name or f"woven roving {next(_numbers)}", **(values | fields))
    weight = made.areal_weight_gsm / 2
    for number, angle in enumerate((0, 90), start=1):
        Layer.objects.create(reinforcement=made, number=number, angle_deg=angle, areal_weight_gsm=weight)
    return made


def make_roll(*, by, reinforcement: Reinforcement | None = None, length_mm: int = 50_000, **fields) -> Roll:
    reinforcement = reinforcement or make_reinforcement()
    values = {"width_mm": reinforcement.width_mm, "at": NOON, "key": new_key("receipt"), "lot": "L2301"}
    return ledger.record_receipt(reinforcement=reinforcement, length_mm=length_mm, by=by, **(values | fields))


def make_sure(roll: Roll) -> Roll:
    """As if every millimetre had been counted, so that a plan may use all that is booked."""
    Roll.objects.filter(pk=roll.pk).update(uncertainty_mm=0.0, doubt_sources={})
    roll.refresh_from_db()
    return roll


def make_chemical(name: str | None = None, **fields) -> Chemical:
    values = {"kind": "polyester", "density_liquid": Decimal("1.100"), "density_cured": Decimal("1.200")}
    return Chemical.objects.create(name=name or f"laminating resin {next(_numbers)}", **(values | fields))


def make_container(*, by, chemical: Chemical | None = None, mass_g: int = 20_000, **fields) -> Container:
    values = {"label_date": TODAY + datetime.timedelta(days=120), "at": NOON, "key": new_key("drum"), "batch": "B77"}
    return ledger.receive_container(chemical=chemical or make_chemical(), mass_g=mass_g, by=by, **(values | fields))
