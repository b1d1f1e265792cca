"""The mixing sheet of a job: what is still to be mixed, into which pots, and what goes into the next one."""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.calc.pot_filling import Pot, fill_pots
from jobs.calc.pot_life import PotLifeError, PotLifeFound, PotLifePoint, Pots, pot_life, pots
from shopstock.calc.dose import Band, DoseError, catalyst_g, check_dose, volume_ml
from shopstock.calc.issue_order import order_for_job
from shopstock.calc.mix_ratio import split_mix
from shopstock.ledger.containers import as_stock
from shopstock.models import Chemical, Container, Shop
from shopstock.queries import open_containers

from .mix_parts import bands_of, seconds_for
from .models import Job, Mix, MixDraw, MixPly, Ply
from .resin_need import JobResin, resin_of_job

RESIN, GELCOAT = Mix.What.RESIN, Mix.What.GELCOAT
ENOUGH_G = 1


class CannotMix(Exception):
    """Why nothing is mixed now, and what to do."""


@dataclass(frozen=True)
class Conditions:
    """What the laminator chose: temperature in °C, dose of catalyst in per cent (None for epoxy), and what goes in."""

    temperature_c: float
    percent: float | None
    second: Chemical  # the hardener or the catalyst


@dataclass(frozen=True)
class PlyLeft:
    """A ply with its resin planned, waste in it, what of that was mixed, and its reinforcement, all in g."""

    ply: Ply | None
    name: str
    planned_g: float
    mixed_g: float
    reinforcement_g: float

    @property
    def left_g(self) -> float:
        return max(0.0, self.planned_g - self.mixed_g)


@dataclass(frozen=True)
class Weighing:
    """What one pot takes: grams of each, and the catalyst in millilitres too."""

    resin_g: float
    second_g: float
    second_ml: float


@dataclass(frozen=True)
class NextPot:
    """A pot to mix: its number, what is weighed into it, and (name, grams) for each ply."""

    number: int
    pot: Pot
    weighing: Weighing
    plies: tuple[tuple[PlyLeft, int], ...]

    @property
    def reinforcement_g(self) -> int:
        """The reinforcement this pot is for: each ply's by its share of the resin planned for it."""
        shares = (left.reinforcement_g * mass_g / left.planned_g for left, mass_g in self.plies if left.planned_g)
        return round(sum(shares))


@dataclass(frozen=True)
class Sheet:
    """Everything still to mix of one product of a job."""

    product: Chemical
    plies: tuple[PlyLeft, ...]
    pots: Pots
    next_pots: tuple[NextPot, ...]
    life: PotLifeFound
    band: Band | None


def product_of(job: Job, what: str) -> Chemical:
    product = job.resin if what == RESIN else job.gelcoat
    if product is None:
        raise CannotMix(f"{job} names no {'resin' if what == RESIN else 'gelcoat'} yet: choose it on the job.")
    return product


def plies_left(job: Job, what: str, shop: Shop) -> list[PlyLeft]:
    """Plies in the order of laying with what is planned and mixed; gelcoat is one layer without a ply."""
    need = resin_of_job(job, shop)
    if what == GELCOAT:
        mixed = sum(mix.planned_g for mix in job.mixes.all() if mix.what == GELCOAT)
        return [PlyLeft(None, "gelcoat", need.gelcoat.total_g, mixed, 0.0)]
    return _plies_left(need, mixed_by_ply(job), float(job.waste_percent))


def _plies_left(need: JobResin, mixed: dict[int, int], waste_percent: float) -> list[PlyLeft]:
    share = 1 + waste_percent / 100
    return [
        PlyLeft(
            row.ply, f"{part.part}, ply {row.ply.number}", row.resin_g * share, mixed.get(row.ply.pk, 0), row.glass_g
        )
        for part in need.parts
        for row in part.plies
        if not row.problem
    ]


def mixed_by_ply(job: Job) -> dict[int, int]:
    found: dict[int, int] = defaultdict(int)
    for ply_id, mass_g in MixPly.objects.filter(mix__job=job, ply__isnull=False).values_list("ply_id", "mass_g"):
        found[ply_id] += mass_g
    return found


def sheet_of(job: Job, what: str, conditions: Conditions, shop: Shop) -> Sheet:
    """Raises CannotMix, DoseError or PotLifeError with what stands in the way; `job` has its lay-up loaded."""
    product = product_of(job, what)
    if conditions.temperature_c < float(shop.laminating_min_c):
        raise CannotMix(
            f"At {conditions.temperature_c:g} °C nothing is laminated here: the shop’s least is "
            f"{float(shop.laminating_min_c):g} °C. Warm the shop and the resin first."
        )
    band = None
    if product.takes_catalyst:
        if conditions.percent is None:
            raise CannotMix("Enter the dose of catalyst.")
        band = check_dose(conditions.percent, conditions.temperature_c, bands_of(product))
    elif conditions.second.parts_by_mass is None:
        raise CannotMix(f"The parts by mass of {conditions.second} are not noted: copy them from its data sheet.")
    left = plies_left(job, what, shop)
    total_g = sum(ply.left_g for ply in left)
    if total_g < ENOUGH_G:
        raise CannotMix("All that is planned is mixed. For more, add to the lay-up or the waste.")
    life = pot_life(pot_life_points(product, conditions.second), conditions.temperature_c, conditions.percent)
    split = pots(
        total_g,
        cap_g=shop.pot_cap_g,
        laid_g_per_hour=shop.resin_laid_g_per_hour,
        use_share=shop.pot_use_percent / 100,
        minutes=life.minutes,
    )
    first = job.mixes.filter(what=what).count() + 1
    return Sheet(product, tuple(left), split, _next_pots(left, split.count, first, conditions), life, band)


def pot_life_points(product: Chemical, second: Chemical) -> list[PotLifePoint]:
    """Of a hardener where it has its own, else of the resin."""
    rows = list(second.pot_lives.all()) if not product.takes_catalyst else []
    return [
        PotLifePoint(float(row.temperature_c), float(row.minutes), None if row.percent is None else float(row.percent))
        for row in rows or product.pot_lives.all()
    ]


def _next_pots(left: Sequence[PlyLeft], count: int, first: int, conditions: Conditions) -> tuple[NextPot, ...]:
    filled = fill_pots([(number, ply.left_g) for number, ply in enumerate(left)], count)
    return tuple(
        NextPot(
            first + number,
            pot,
            weighing_of(pot.mass_g, conditions),
            tuple((left[share.key], share.mass_g) for share in pot.shares),
        )
        for number, pot in enumerate(filled)
    )


def weighing_of(pot_g: float, conditions: Conditions) -> Weighing:
    """Catalyst comes on top of the resin's own mass; hardener is part of the mix."""
    density = float(conditions.second.density_liquid)
    if conditions.percent is not None:
        second_g = catalyst_g(pot_g, conditions.percent)
        return Weighing(pot_g, second_g, volume_ml(second_g, density))
    parts = split_mix(pot_g, float(conditions.second.parts_by_mass))
    return Weighing(parts.resin_g, parts.hardener_g, volume_ml(parts.hardener_g, density))


def containers_for(job: Job, product: Chemical, need_g: float, on: datetime.date) -> list[Container]:
    """Those that may be used on the day, the one to draw from first: one batch a job where it can be."""
    rows = {container.code: container for container in open_containers().filter(chemical=product)}
    alike = product.kind == Chemical.Kind.GELCOAT  # a colour changes from batch to batch
    begun = batch_begun(job, product)
    order = order_for_job(map(as_stock, rows.values()), on, round(need_g), begun=begun, alike=alike)
    return [rows[item.code] for item in order]


def batch_begun(job: Job, product: Chemical) -> str:
    last = MixDraw.objects.filter(mix__job=job, movement__container__chemical=product).order_by("-pk")
    return last.values_list("movement__container__batch", flat=True).first() or ""


@dataclass(frozen=True)
class Ratio:
    """Resin weighed so far to the reinforcement its pots were for, beside the plan and the limit."""

    resin_g: int
    reinforcement_g: int
    planned: float | None
    limit: float | None

    @property
    def so_far(self) -> float | None:
        return self.resin_g / self.reinforcement_g if self.reinforcement_g else None

    @property
    def is_over(self) -> bool:
        return self.so_far is not None and self.limit is not None and self.so_far > self.limit

    @property
    def share(self) -> int | None:
        """Of the limit, in per cent."""
        return None if self.so_far is None or not self.limit else round(100 * self.so_far / self.limit)


def ratio_of(job: Job, shop: Shop) -> Ratio:
    """The running resin-to-reinforcement ratio of laminating resin; gelcoat counts in none."""
    mixes = [mix for mix in job.mixes.all() if mix.what == RESIN]
    need = resin_of_job(job, shop)
    planned = need.resin.total_g / need.glass_g if need.glass_g else None
    limit = None if job.max_resin_ratio is None else float(job.max_resin_ratio)
    return Ratio(sum(m.mixed_g for m in mixes), sum(m.reinforcement_g for m in mixes), planned, limit)


__all__ = [
    "CannotMix", "Conditions", "DoseError", "PotLifeError", "Sheet", "bands_of", "containers_for", "plies_left",
    "product_of", "ratio_of", "seconds_for", "sheet_of",
]  # fmt: skip
