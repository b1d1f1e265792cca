"""Fill an invented shop: master data from a file, its history through the ledger."""

import datetime
import json
from dataclasses import dataclass
from decimal import Decimal
from math import cos, tau
from pathlib import Path

from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import transaction

from shopstock import ledger
from shopstock.calc.costing import to_cents
from shopstock.calc.sheet_lines import read_doses, read_pot_lives
from shopstock.ledger.faults import FoundFault
from shopstock.models import (
    Chemical,
    ClimateReading,
    DoseBand,
    Layer,
    Place,
    PotLife,
    Reinforcement,
    Roll,
    Shop,
    Supplier,
)
from shopstock.people.actions import new_person

SHOP_FILE = Path(settings.BASE_DIR) / "fixtures" / "demo" / "shop.json"
DECIMALS = {
    "density_liquid", "density_cured", "price_per_pack", "gel_min_minutes", "gel_max_minutes", "store_max_c",
    "parts_by_mass", "parts_by_volume",
}  # fmt: skip
PASSWORD = "wet-out-2-plies"  # printed by the command; a demo only ever holds invented data

User = get_user_model()


@dataclass
class DemoShop:
    """The people and materials of the invented shop, by name."""

    people: dict
    reinforcements: dict[str, Reinforcement]
    chemicals: dict[str, Chemical]
    now: datetime.datetime

    def ago(self, days: int) -> datetime.datetime:
        return self.now - datetime.timedelta(days=days)


def is_empty() -> bool:
    return not (User.objects.exists() or Reinforcement.objects.exists() or Chemical.objects.exists())


@transaction.atomic
def fill_shop(now: datetime.datetime) -> DemoShop:
    data = json.loads(SHOP_FILE.read_text(encoding="utf-8"))
    Shop.objects.update_or_create(pk=1, defaults=data["shop"] | {"is_demo": True})
    for row in data["suppliers"]:
        Supplier.objects.create(**row)
    for row in data["places"]:
        Place.objects.create(**row)
    shop = DemoShop(
        people={name: new_person(name=name, role=role, password=PASSWORD) for name, role in data["people"]},
        reinforcements={row["name"]: _reinforcement(row) for row in data["reinforcements"]},
        chemicals={row["name"]: _chemical(row) for row in data["chemicals"]},
        now=now,
    )
    for number, row in enumerate(data["rolls"]):
        _receive_roll(shop, number, row)
    for number, row in enumerate(data["containers"]):
        _receive_container(shop, number, row)
    _read_climate(shop)
    return shop


def shop_as_filled(now: datetime.datetime) -> DemoShop:
    """The demo that an earlier run left."""
    return DemoShop(
        people={person.username: person for person in User.objects.all()},
        reinforcements={made.name: made for made in Reinforcement.objects.all()},
        chemicals={made.name: made for made in Chemical.objects.all()},
        now=now,
    )


def _reinforcement(row: dict) -> Reinforcement:
    values = dict(row)
    layers, fits = values.pop("layers"), values.pop("fits")
    values |= dict(zip(("fits_polyester", "fits_vinylester", "fits_epoxy"), fits, strict=True))
    for name in ("areal_weight_gsm", "price_per_roll", "weight_tolerance_percent"):
        values[name] = Decimal(values[name])
    made = Reinforcement.objects.create(**values | {"supplier": Supplier.objects.get(name=values["supplier"])})
    for number, (angle_deg, weight) in enumerate(layers, start=1):
        Layer.objects.create(reinforcement=made, number=number, angle_deg=angle_deg, areal_weight_gsm=Decimal(weight))
    return made


def _chemical(row: dict) -> Chemical:
    values = dict(row)
    doses, lives = read_doses(values.pop("doses", "")), read_pot_lives(values.pop("pot_lives", ""))
    for name in DECIMALS & set(values):
        values[name] = Decimal(values[name])
    if "mixes_with" in values:
        values["mixes_with"] = Chemical.objects.get(name=values["mixes_with"])
    made = Chemical.objects.create(**values | {"supplier": Supplier.objects.get(name=values["supplier"])})
    for band in doses:
        limits = {"min_percent": band.least_percent, "max_percent": band.most_percent}
        DoseBand.objects.create(chemical=made, from_c=band.from_c, below_c=band.below_c, **limits)
    for line in lives:
        figures = {"temperature_c": line.temperature_c, "percent": line.percent, "minutes": line.minutes}
        PotLife.objects.create(chemical=made, **figures)
    return made


def _read_climate(shop: DemoShop) -> None:
    """A week of readings of two places: warm by day, cool by night, and an evening on which the sensor was off."""
    for name, middle_c, middle_humidity in (("Rack A1", 21, 48), ("Laminating shop", 19, 57)):
        place = Place.objects.get(name=name)
        hours = [hour for hour in range(2, 7 * 24, 2) if not 60 < hour < 74]
        ClimateReading.objects.bulk_create(
            ClimateReading(
                place=place,
                at=shop.now - datetime.timedelta(hours=hour),
                temperature_c=Decimal(str(round(middle_c - 1.6 * cos(hour / 24 * tau), 1))),
                humidity=Decimal(str(round(middle_humidity + 6 * cos(hour / 24 * tau + 1), 1))),
                source=ClimateReading.Source.HAND,
                by=shop.people["carla"],
            )
            for hour in hours
        )


def _receive_roll(shop: DemoShop, number: int, row: dict) -> Roll:
    reinforcement = shop.reinforcements[row["of"]]
    at = shop.ago(row["days_ago"])
    return ledger.record_receipt(
        reinforcement=reinforcement,
        width_mm=reinforcement.width_mm,
        length_mm=row["length_mm"],
        by=shop.people["carla"],
        at=at,
        key=f"demo-roll-{number}",
        lot=row["lot"],
        supplier=reinforcement.supplier,
        place=Place.objects.get(name=row["place"]),
        lying=row.get("lying", Roll.Lying.CORE),
        gross_g=row.get("gross_g"),
        tube_g=row.get("tube_g"),
        price=_paid(reinforcement, row["length_mm"]),
        faults=[FoundFault(*fault) for fault in row.get("faults", [])],
        quarantine_reason=row.get("quarantine", ""),
    )


def _paid(reinforcement: Reinforcement, length_mm: int) -> Decimal:
    """Part rolls were bought as such, so that the stock is worth what lies there."""
    return to_cents(reinforcement.price_per_roll * length_mm / reinforcement.roll_length_mm)


def _receive_container(shop: DemoShop, number: int, row: dict) -> None:
    chemical = shop.chemicals[row["of"]]
    ledger.receive_container(
        chemical=chemical,
        mass_g=row["mass_g"],
        label_date=shop.now.date() + datetime.timedelta(days=row["expires_in_days"]),
        by=shop.people["carla"],
        at=shop.ago(row["days_ago"]),
        key=f"demo-container-{number}",
        batch=row["batch"],
        supplier=chemical.supplier,
        place=Place.objects.get(name=row["place"]),
    )
