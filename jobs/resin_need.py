"""Glass, resin and gelcoat of a job from its plies, and which containers would give it, first to expire first."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from jobs.calc import laminate, wet_out
from shopstock.calc.forms import FIBRES, POLYESTER_CURED_G_PER_CM3
from shopstock.models import Chemical, Container, Reinforcement, Shop
from shopstock.queries import open_containers

from .mix_parts import Seconds
from .models import Job, Mix, Part, Ply
from .pieces import lap_area_mm2, usable_width_mm

OWN_FIGURE = "own figure"


@dataclass(frozen=True)
class PlyResin:
    """What one ply of a part takes, over all its pieces; `problem` says why there are no figures."""

    ply: Ply
    pieces: int
    area_m2: float
    lap_m2: float
    fraction: float = 0.0
    source: str = ""
    glass_g: float = 0.0
    resin_g: float = 0.0
    thickness_mm: float = 0.0
    problem: str = ""


@dataclass(frozen=True)
class PartResin:
    part: Part
    plies: tuple[PlyResin, ...]
    stack: laminate.LaminateTotals | None

    @property
    def stack_percent(self) -> float:
        return 100 * self.stack.fibre_mass_fraction


@dataclass(frozen=True)
class JobResin:
    parts: tuple[PartResin, ...]
    resin: wet_out.WithWaste
    gelcoat: wet_out.WithWaste

    @property
    def plies(self) -> list[PlyResin]:
        return [ply for part in self.parts for ply in part.plies]

    @property
    def glass_g(self) -> float:
        return sum(ply.glass_g for ply in self.plies)

    def needs(self, job: Job) -> list[tuple[Chemical, int]]:
        """(product, mass in g with waste) of each mix that the job names and needs in all, hardener in it."""
        both = ((job.resin, self.resin.total_g), (job.gelcoat, self.gelcoat.total_g))
        return [(chemical, ceil(mass)) for chemical, mass in both if chemical is not None and mass > 0]


@dataclass(frozen=True)
class Given:
    """What one container would give to the job."""

    container: Container
    gives_g: int
    to_others_g: int


@dataclass(frozen=True)
class Supply:
    """A product the job needs, the containers in date on the day, and what is short."""

    chemical: Chemical
    needed_g: int
    earlier_jobs_g: int
    given: tuple[Given, ...]

    @property
    def short_g(self) -> int:
        return self.needed_g - sum(given.gives_g for given in self.given)


def resin_of_job(job: Job, shop: Shop) -> JobResin:
    """The wet-out of a job whose lay-up is loaded."""
    parts = tuple(_part_resin(job, part, shop) for part in job.parts.all())
    net_g = sum(ply.resin_g for part in parts for ply in part.plies)
    waste_percent = float(job.waste_percent)
    return JobResin(
        parts,
        wet_out.with_visible_waste(net_g, waste_percent),
        wet_out.with_visible_waste(gelcoat_g(job), waste_percent),
    )


def still_needs(job: Job, shop: Shop) -> list[tuple[Chemical, int]]:
    """The mixes the job needs, hardener in them, less what was mixed; `job` has its lay-up and its mixes loaded."""
    mixed = {what: sum(mix.planned_g for mix in job.mixes.all() if mix.what == what) for what in Mix.What.values}
    gone = {job.resin_id: mixed[Mix.What.RESIN]}
    gone[job.gelcoat_id] = gone.get(job.gelcoat_id, 0) + mixed[Mix.What.GELCOAT]
    needs = resin_of_job(job, shop).needs(job)
    left = [(chemical, mass_g - gone.get(chemical.pk, 0)) for chemical, mass_g in needs]
    return [(chemical, mass_g) for chemical, mass_g in left if mass_g > 0]


def gelcoat_g(job: Job) -> float:
    if job.gelcoat is None:
        return 0.0
    return wet_out.gelcoat_mass_g(
        float(job.gelcoat_area_m2), float(job.gelcoat_film_mm), float(job.gelcoat.density_liquid)
    )


def _part_resin(job: Job, part: Part, shop: Shop) -> PartResin:
    plies = tuple(_ply_resin(job, part, ply, shop) for ply in part.plies.all())
    counted = [_calc_ply(job, row.ply, row.fraction) for row in plies if not row.problem]
    return PartResin(part, plies, laminate.laminate_totals(counted) if counted else None)


def _ply_resin(job: Job, part: Part, ply: Ply, shop: Shop) -> PlyResin:
    pieces = ply.count * part.count
    lap_mm2 = lap_area_mm2(ply, max(1, usable_width_mm(ply.reinforcement.width_mm, shop)))
    lap_m2 = pieces * lap_mm2 / 1e6
    area_m2 = pieces * float(ply.area_m2) + lap_m2
    try:
        fraction, source = fraction_of(ply, job.process)
    except wet_out.WetOutError as error:
        return PlyResin(ply, pieces, area_m2, lap_m2, problem=str(error))
    weight_gsm = float(ply.reinforcement.areal_weight_gsm)
    return PlyResin(
        ply=ply,
        pieces=pieces,
        area_m2=area_m2,
        lap_m2=lap_m2,
        fraction=fraction,
        source=source,
        glass_g=area_m2 * weight_gsm,
        resin_g=wet_out.resin_for_ply_g(area_m2, weight_gsm, fraction),
        thickness_mm=laminate.laminate_totals([_calc_ply(job, ply, fraction)]).thickness_mm,
    )


def fraction_of(ply: Ply, process: str) -> tuple[float, str]:
    """Fibre share by mass and where it comes from; raises WetOutError when the form has no default."""
    if ply.fibre_mass_fraction is not None:
        return float(ply.fibre_mass_fraction), OWN_FIGURE
    default = wet_out.default_fibre_mass_fraction(ply.reinforcement.form, process, mat_share(ply.reinforcement))
    return default.fraction, default.source


def mat_share(reinforcement: Reinforcement) -> float | None:
    layers = list(reinforcement.layers.all())
    total = sum(layer.areal_weight_gsm for layer in layers)
    mat = sum(layer.areal_weight_gsm for layer in layers if layer.angle_deg is None)
    return float(mat / total) if total else None


def _calc_ply(job: Job, ply: Ply, fraction: float) -> laminate.Ply:
    cured = job.resin.density_cured if job.resin is not None else None
    return laminate.Ply(
        areal_weight_gsm=float(ply.reinforcement.areal_weight_gsm),
        fibre_mass_fraction=fraction,
        area_m2=float(ply.area_m2),
        fibre_density=float(FIBRES[ply.reinforcement.fibre].density_g_per_cm3),
        resin_density=float(cured or POLYESTER_CURED_G_PER_CM3),
    )


def in_date(chemicals: Iterable[Chemical], on: datetime.date) -> dict[int, list[Container]]:
    """Containers that may still be used on a day, by product, first to expire first."""
    found: dict[int, list[Container]] = {chemical.pk: [] for chemical in chemicals}
    containers = [c for c in open_containers().filter(chemical__in=found) if c.expires_on >= on]
    for container in sorted(containers, key=lambda c: (c.expires_on, c.pk)):
        found[container.chemical_id].append(container)
    return found


def share_out(containers: Sequence[Container], earlier_jobs_g: int, needed_g: int) -> tuple[Given, ...]:
    """First to expire first: what earlier jobs will have taken, then what this one takes of each container."""
    given = []
    for container in containers:
        to_others = min(earlier_jobs_g, container.mass_g)
        gives = min(needed_g, container.mass_g - to_others)
        earlier_jobs_g -= to_others
        needed_g -= gives
        given.append(Given(container, gives, to_others))
    return tuple(given)


def supplies(job: Job, earlier_jobs: Sequence[Job], shop: Shop) -> list[Supply]:
    """For each product that is still to be mixed: the containers in date on the day and what each would give."""
    seconds = Seconds.of_jobs([job, *earlier_jobs])
    needs = seconds.in_parts(job, still_needs(job, shop), shop)
    taken = {chemical.pk: 0 for chemical, _ in needs}
    for earlier in earlier_jobs:
        for chemical, mass_g in seconds.in_parts(earlier, still_needs(earlier, shop), shop):
            if chemical.pk in taken:
                taken[chemical.pk] += mass_g
    containers = in_date([chemical for chemical, _ in needs], job.cut_on)
    return [
        Supply(chemical, mass_g, taken[chemical.pk], share_out(containers[chemical.pk], taken[chemical.pk], mass_g))
        for chemical, mass_g in needs
    ]


def misfits(job: Job) -> list[tuple[Reinforcement, str]]:
    """Reinforcements that do not fit the job's kind of resin or of which it is not known (`not` or `ask`)."""
    if job.resin is None or not job.resin.is_laminating_resin:
        return []
    kinds = {ply.reinforcement for part in job.parts.all() for ply in part.plies.all()}
    fits = [(kind, getattr(kind, f"fits_{job.resin.kind}")) for kind in sorted(kinds, key=str)]
    return [(kind, fit) for kind, fit in fits if fit != Reinforcement.Fit.FITS]
