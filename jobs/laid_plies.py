"""From the plies of a job to what calculations compare: fabrics, how they lie, their fibre share, the figures."""

from collections.abc import Iterable

from jobs.calc.constituents import (
    FIBRE_DATA,
    POLYESTER,
    RESIN_DATA,
    RESIN_NAMES,
    BreakingStrains,
    FibreData,
    Materials,
    ResinData,
)
from jobs.calc.laid_ply import Fabric, LaidPly, LaidPlyError
from jobs.calc.micromechanics import FibreStiffness, ResinStiffness
from jobs.calc.wet_out import default_fibre_mass_fraction
from shopstock.calc.directional_fibre import RANDOM, FibreLayer
from shopstock.models import Reinforcement

from .models import Job, MaterialProperties, Part, Ply
from .models.material_properties import FIBRE
from .resin_need import fraction_of, mat_share


def fabric_of(reinforcement: Reinforcement) -> Fabric:
    """Needs `layers` loaded; raises LaidPlyError when they do not come to the weight."""
    layers = [
        FibreLayer(float(layer.areal_weight_gsm), RANDOM if layer.angle_deg is None else layer.angle_deg)
        for layer in reinforcement.layers.all()
    ]
    if not layers:
        raise LaidPlyError(f"The layers of {reinforcement} are not given. Enter them in the catalogue.")
    return Fabric(
        reinforcement.pk,
        reinforcement.name,
        reinforcement.form,
        reinforcement.fibre,
        float(reinforcement.areal_weight_gsm),
        tuple(layers),
    )


def angles_of(reinforcement: Reinforcement) -> set[int]:
    return {layer.angle_deg for layer in reinforcement.layers.all() if layer.angle_deg is not None}


def lies_at_45(reinforcement: Reinforcement) -> bool:
    return {45, -45} <= angles_of(reinforcement)


def turn_deg(reinforcement: Reinforcement, direction: str) -> int:
    """How the warp of a fabric lies when its ply is wanted in a direction, as the blanks are cut."""
    only_at_45 = angles_of(reinforcement) == {45, -45}
    if direction in (Ply.Direction.ALONG, Ply.Direction.ACROSS) and only_at_45:
        return 45
    if direction in (Ply.Direction.BIAS, Ply.Direction.PLUS) and not lies_at_45(reinforcement):
        return 45
    if direction == Ply.Direction.MINUS and not lies_at_45(reinforcement):
        return -45
    return 90 if direction == Ply.Direction.ACROSS else 0


def laid_ply_of(ply: Ply, process: str) -> LaidPly:
    """Raises LaidPlyError, WetOutError."""
    fraction, _ = fraction_of(ply, process)
    return LaidPly(fabric_of(ply.reinforcement), turn_deg(ply.reinforcement, ply.direction), fraction)


def laid_plies_of(part: Part, process: str) -> list[LaidPly]:
    """A part's plies from the mould outwards, its lay-up loaded."""
    return [laid_ply_of(ply, process) for ply in part.plies.all()]


def laid_as(reinforcement: Reinforcement, direction: str, process: str, share: float | None = None) -> LaidPly:
    """A fabric laid in a direction with a fibre share, or the usual one of its form and process."""
    if share is None:
        share = default_fibre_mass_fraction(reinforcement.form, process, mat_share(reinforcement)).fraction
    return LaidPly(fabric_of(reinforcement), turn_deg(reinforcement, direction), share)


def resin_kind(job: Job) -> str:
    """The kind of laminating resin of a job; polyester while none is chosen."""
    return job.resin.kind if job.resin is not None and job.resin.kind in RESIN_DATA else POLYESTER


def materials_for(resin: str, woven_factor: float = 1.0) -> Materials:
    """The figures that hold in this shop: its own where it entered them, the defaults for the rest."""
    own = {row.material: row for row in MaterialProperties.objects.all()}
    fibres = FIBRE_DATA | {row.key: _fibre_data(row) for row in own.values() if row.kind == FIBRE}
    row = own.get(f"resin:{resin}")
    data = RESIN_DATA[resin] if row is None else _resin_data(row)
    return Materials(data, fibres, RESIN_NAMES[resin], woven_factor)


def _fibre_data(row: MaterialProperties) -> FibreData:
    known = FIBRE_DATA.get(row.key)
    factors = known.stiffness.factors if known else (1.0, 1.0, 1.0, 1.0)
    across = row.modulus_across or row.modulus
    stiffness = FibreStiffness(row.modulus, across, row.shear_modulus, row.poisson, row.density, factors)
    strains = (row.strain_along, row.strain_across, row.strain_woven)
    known_strains = None if None in strains else BreakingStrains(*strains, row.strain_mat)
    return FibreData(stiffness, known_strains, row.source, own=True)


def _resin_data(row: MaterialProperties) -> ResinData:
    stiffness = ResinStiffness(row.modulus, row.shear_modulus, row.poisson, row.density)
    return ResinData(stiffness, RESIN_DATA[row.key].strain_factor, row.source, own=True)


def sources_of(plies: Iterable[LaidPly], materials: Materials) -> list[tuple[str, str, bool]]:
    """(material, where its figures come from, whether the shop's own) of everything in a stack."""
    fibres = {ply.fabric.fibre for ply in plies}
    rows = [(key, materials.fibre(key)) for key in sorted(fibres)]
    named = [(MaterialProperties(material=f"{FIBRE}:{key}").get_material_display(), data) for key, data in rows]
    named.append((materials.resin_name, materials.resin))
    return [(name, data.source, data.own) for name, data in named]
