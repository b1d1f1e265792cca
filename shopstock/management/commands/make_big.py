import datetime
import random
import time
from collections.abc import Iterator

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.core.management.base import BaseCommand, CommandError

from shopstock.calc.stock_code import make_code
from shopstock.ledger.invented import InventedRoll, record_invented
from shopstock.models import Place, Reinforcement, Roll, Shop, Supplier
from shopstock.roles import OWNER

YEARS = 7
END = datetime.datetime(2026, 6, 30, 16, 0, tzinfo=datetime.UTC)
OPEN_SHARE = 0.13
BATCH = 500
FORMS = (("cloth", 300), ("woven_roving", 600), ("mat", 450), ("stitched", 800), ("unidirectional", 300))


class Command(BaseCommand):
    help = "Fill an empty database with an invented store of any size, the same for the same seed, to measure on."

    def add_arguments(self, parser):
        parser.add_argument("--rolls", type=int, default=100_000)
        parser.add_argument("--movements", type=int, default=2_000_000)
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *, rolls: int, movements: int, seed: int, **options):
        if rolls < 1 or movements < rolls:
            raise CommandError("At least one roll, and no fewer movements than rolls: each was received.")
        if Roll.objects.exists():
            raise CommandError(
                "This database holds rolls already. Name an empty one with DATABASE_URL, and migrate it."
            )
        start, chance = time.monotonic(), random.Random(seed)
        by, catalogue = _owner(), _catalogue(chance)
        written, made = 0, 0
        for batch in _batches(_lives(rolls, movements, chance, catalogue)):
            written += record_invented(batch, by=by)
            made += len(batch)
            if made % 10_000 < BATCH:
                self.stdout.write(f"{made} rolls, {written} movements, {time.monotonic() - start:.0f} s")
                self.stdout.flush()
        self.stdout.write(f"Wrote {made} rolls and {written} movements in {time.monotonic() - start:.0f} s.")


def _owner():
    shop = Shop.current()
    shop.is_demo = True
    shop.save()
    owner, _ = get_user_model().objects.get_or_create(username="big")
    owner.groups.set([Group.objects.get(name=OWNER)])
    return owner


def _catalogue(chance: random.Random) -> tuple[list, list, list]:
    suppliers = [Supplier.objects.create(name=f"Supplier {number:02d}") for number in range(12)]
    places = [Place.objects.create(name=f"Rack {number:02d}") for number in range(40)]
    materials = [
        Reinforcement.objects.create(
            name=f"{form.replace('_', ' ')} {weight + 10 * number}",
            form=form,
            fibre="e_glass",
            areal_weight_gsm=weight + 10 * number,
            width_mm=chance.choice((1000, 1250, 1270)),
            roll_length_mm=50_000,
        )
        for number in range(12)
        for form, weight in FORMS
    ]
    return materials, suppliers, places


def _lives(rolls: int, movements: int, chance: random.Random, catalogue) -> Iterator[InventedRoll]:
    """Spread the movements so that their sum is as asked; most rolls were used up, the youngest are open."""
    materials, suppliers, places = catalogue
    cuts_left = movements - rolls
    span = datetime.timedelta(days=YEARS * 365)
    for number in range(rolls):
        rolls_left = rolls - number
        mean = cuts_left / rolls_left
        count = cuts_left if rolls_left == 1 else min(cuts_left, max(0, round(chance.gauss(mean, mean / 3))))
        cuts_left -= count
        at = END - span + span * (number / rolls)
        is_open = number >= rolls * (1 - OPEN_SHARE) or count == 0
        yield InventedRoll(
            code=make_code(number),
            reinforcement=chance.choice(materials),
            supplier=chance.choice(suppliers),
            place=chance.choice(places),
            lot=f"L{number // 5:06d}",
            length_mm=50_000,
            at=at,
            cuts=_cuts(chance, count, at, is_open),
        )


def _cuts(chance: random.Random, count: int, at: datetime.datetime, is_open: bool) -> tuple:
    """So many cuts within two months; what is used up ends at nothing."""
    used = chance.randint(10_000, 45_000) if is_open else 50_000
    marks = sorted(chance.sample(range(1, used), count - 1)) + [used] if count else []
    lengths = [after - before for before, after in zip([0, *marks], marks, strict=False)]
    step = min(datetime.timedelta(days=60), END - at) / (count + 1)
    return tuple((at + step * (n + 1), length, f"Job {chance.randint(1, 4000)}") for n, length in enumerate(lengths))


def _batches(lives: Iterator[InventedRoll]) -> Iterator[list[InventedRoll]]:
    batch: list[InventedRoll] = []
    for life in lives:
        batch.append(life)
        if len(batch) == BATCH:
            yield batch
            batch = []
    if batch:
        yield batch
