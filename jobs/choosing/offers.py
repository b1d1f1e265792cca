"""Turn what a part asks into lay-ups offered: each with its reasons, what it fails on, and what of it lies free."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.calc.choosing import (
    LEAST_DRAPE,
    LOADS_DEG,
    Answer,
    Wish,
    answers,
    comparable_strength,
    idle_directions,
    prepare,
)
from jobs.calc.constituents import Materials, NoProperties
from jobs.calc.laid_ply import LaidPly
from jobs.laid_plies import laid_as, laid_plies_of, materials_for
from jobs.lay_up_sheet import REFUSALS
from jobs.lay_up_text import LaidFabric, in_words, written
from jobs.models import Job, Part
from jobs.queries import with_lay_up
from jobs.rack_fabrics import candidates, free_lengths_mm, natural_direction, resin_fit
from shopstock.calc.directional_fibre import angle_words
from shopstock.calc.fabric_character import FIBRE_CHARACTER, GOOD_IN_IMPACT
from shopstock.calc.forms import CHOPPED_STRAND_MAT
from shopstock.calc.units import format_length
from shopstock.models import Reinforcement, Shop

MOST_SHOWN = 12


@dataclass(frozen=True)
class Offer:
    """One lay-up offered; costs per m² are of the fabric."""

    answer: Answer
    plies: tuple[LaidFabric, ...]
    fails: tuple[str, ...]
    reasons: tuple[str, ...]
    free: tuple[tuple[Reinforcement, int], ...]
    cost: Decimal | None

    @property
    def words(self) -> str:
        return in_words(self.plies)

    @property
    def text(self) -> str:
        return written(self.plies)

    @property
    def in_stock(self) -> bool:
        return all(length_mm > 0 for _, length_mm in self.free)

    @property
    def order(self) -> tuple:
        cost = self.cost if self.cost is not None else Decimal("Infinity")
        return bool(self.fails), not self.in_stock, round(self.answer.lay_up.mass_gsm, 6), cost


@dataclass(frozen=True)
class Found:
    """Offers in order, how many lay-ups were tried, and fabrics left out with the reason."""

    offers: tuple[Offer, ...]
    tried: int
    left_out: tuple[tuple[Reinforcement, str], ...]
    strength_method: str | None = None

    @property
    def fitting(self) -> int:
        return sum(not offer.fails for offer in self.offers)


def find_offers(asked: Mapping, shop: Shop, at: datetime.datetime) -> Found:
    """Raises what a reference lay-up can be refused for (REFUSALS)."""
    materials = materials_for(asked["resin"])
    laid, left_out = _laid(asked, materials)
    wish = _wish(asked, materials, [ply for _, ply in laid])
    free = free_lengths_mm([fabric for fabric, _ in laid], shop, at)
    fabrics = {ply.fabric.key: LaidFabric(fabric, natural_direction(fabric)) for fabric, ply in laid}
    offers = [
        _offer(answer, fabrics, asked, free, shop.units)
        for fibre in sorted({fabric.fibre for fabric, _ in laid})
        for answer in _answers([(f, ply) for f, ply in laid if f.fibre == fibre], asked, materials, wish)
    ]
    offers.sort(key=lambda offer: offer.order)
    return Found(tuple(offers[:MOST_SHOWN]), len(offers), tuple(left_out), wish.strength_method)


def _wish(asked: Mapping, materials: Materials, candidates: Sequence[LaidPly]) -> Wish:
    reference = [] if asked["reference"] is None else _reference(asked["reference"])
    return Wish(
        directions_deg=LOADS_DEG[asked["load"]],
        least_thickness_mm=asked["thickness"],
        most_mass_gsm=None if asked["mass"] is None else asked["mass"] * 1000,
        least_stretching=asked["stretching"],
        least_bending=asked["bending"],
        reference=prepare(reference, materials) if reference else None,
        strength_method=comparable_strength(candidates, reference, materials) if reference else None,
    )


def _reference(part: Part) -> list[LaidPly]:
    job = with_lay_up(Job.objects.filter(pk=part.job_id)).get()
    return laid_plies_of(next(one for one in job.parts.all() if one.pk == part.pk), job.process)


def _laid(asked: Mapping, materials: Materials) -> tuple[list[tuple[Reinforcement, LaidPly]], list]:
    laid, left_out = [], []
    for fabric in candidates():
        if asked["fibre"] and fabric.fibre != asked["fibre"]:
            continue
        try:
            materials.fibre(fabric.fibre)
            laid.append((fabric, laid_as(fabric, natural_direction(fabric), asked["process"])))
        except (*REFUSALS, NoProperties) as error:
            left_out.append((fabric, str(error)))
    return laid, left_out


def _answers(laid, asked: Mapping, materials: Materials, wish: Wish) -> list[Answer]:
    mats = [
        ply
        for fabric, ply in laid
        if fabric.form == CHOPPED_STRAND_MAT and resin_fit(fabric, asked["resin"]) == Reinforcement.Fit.FITS
    ]
    return answers([ply for _, ply in laid], mats, materials, wish)


def _offer(
    answer: Answer, fabrics: Mapping[int, LaidFabric], asked: Mapping, free: Mapping[int, int], units: str
) -> Offer:
    plies = tuple(fabrics[ply.fabric.key] for ply in answer.lay_up.laid)
    used = list(dict.fromkeys(ply.fabric for ply in plies))
    prices = [ply.fabric.price_per_m2 for ply in plies]
    lengths = tuple((fabric, free.get(fabric.pk, 0)) for fabric in used)
    return Offer(
        answer=answer,
        plies=plies,
        fails=(*answer.misses, *_idle(answer, asked), *(fail for fabric in used for fail in _fails(fabric, asked))),
        reasons=tuple(_reasons(used, asked, lengths, units)),
        free=lengths,
        cost=None if None in prices else sum(prices, Decimal(0)),
    )


def _idle(answer: Answer, asked: Mapping) -> list[str]:
    angles = idle_directions(answer.lay_up, LOADS_DEG[asked["load"]])
    return [f"next to none of its fibre works at {' and '.join(map(angle_words, angles))}"] if angles else []


def _fails(fabric: Reinforcement, asked: Mapping) -> list[str]:
    fails, least = [], LEAST_DRAPE[asked["shape"]]
    rating = drape_with(fabric, asked["resin"])
    if rating < least:
        fails.append(f"{fabric} drapes {rating} of 5, this shape wants {least}")
    if resin_fit(fabric, asked["resin"]) == Reinforcement.Fit.NOT:
        fails.append(f"{fabric} does not go with this resin")
    if asked["wear"] and fabric.fibre not in GOOD_IN_IMPACT:
        fails.append(f"{fabric.get_fibre_display()}: {FIBRE_CHARACTER[fabric.fibre].impact}")
    return fails


def drape_with(fabric: Reinforcement, resin: str) -> int:
    """Mat goes soft only where its binder dissolves in styrene: with epoxy it stays stiff, for flat work only."""
    stiff_mat = fabric.form == CHOPPED_STRAND_MAT and resin == "epoxy" and fabric.drape is None
    return 1 if stiff_mat else fabric.drape_rating


def _reasons(used: list[Reinforcement], asked: Mapping, free, units: str) -> list[str]:
    reasons = [
        f"{format_length(length_mm, units)} of {fabric} free" if length_mm > 0 else f"no {fabric} free on the racks"
        for fabric, length_mm in free
    ]
    unsure = [fabric.name for fabric in used if resin_fit(fabric, asked["resin"]) == Reinforcement.Fit.ASK]
    if unsure:
        reasons.append(f"ask the supplier whether {' and '.join(unsure)} goes with this resin")
    if asked["wear"] and all(fabric.fibre in GOOD_IN_IMPACT for fabric in used):
        reasons.append(FIBRE_CHARACTER[used[0].fibre].impact)
    if all(drape_with(fabric, asked["resin"]) >= LEAST_DRAPE[asked["shape"]] for fabric in used):
        reasons.append(f"drapes {min(drape_with(fabric, asked['resin']) for fabric in used)} of 5")
    return reasons
