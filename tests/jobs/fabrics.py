"""Fabrics as the worked stand-ins have them, on the racks, and a job that asks for mat, roving and mat."""

from decimal import Decimal

from jobs.models import Job, Part
from shopstock.calc.layers import LayerWeight
from shopstock.catalogue import save_reinforcement
from shopstock.models import Reinforcement
from tests.factories import make_chemical, make_roll
from tests.jobs.factories import make_job, make_part, make_ply

LAYERS = {
    "mat": ([None], "any"),
    "woven_roving": ([0, 90], "balanced"),
    "cross": ([0, 90], "balanced"),
    "bias": ([45, -45], "balanced"),
    "unidirectional": ([0], "never"),
}
FORMS = {"cross": "stitched", "bias": "stitched"}


def make_fabric(name: str, sort: str, gsm: int, *, by=None, length_mm: int = 30_000, **fields) -> Reinforcement:
    """A fabric of one of LAYERS; with `by`, a roll of it is on the racks."""
    angles, turning = LAYERS[sort]
    values = {"fibre": "e_glass", "width_mm": 1250, "roll_length_mm": 50_000, "price_per_roll": Decimal("100.00")}
    values |= {"fits_polyester": "fits", "fits_epoxy": "not" if sort == "mat" else "fits"}
    fabric = Reinforcement(
        name=name, form=FORMS.get(sort, sort), turning=turning, areal_weight_gsm=Decimal(gsm), **(values | fields)
    )
    save_reinforcement(fabric, [LayerWeight(angle, Decimal(gsm) / len(angles)) for angle in angles])
    if by is not None:
        make_roll(by=by, reinforcement=fabric, length_mm=length_mm)
    return fabric


def hull_job(by, *, name: str = "Launch hull", direction: str = "0", **fields) -> tuple[Job, Part]:
    """Mat 450, woven roving 600, mat 450 by hand in polyester, 2.00 m × 1.00 m; the roving is not on the racks."""
    mat = make_fabric("mat 450", "mat", 450, by=by)
    roving = make_fabric("roving 600", "woven_roving", 600)
    job = make_job(by=by, name=name, resin=make_chemical(), **fields)
    part = make_part(job)
    for kind, way in ((mat, "any"), (roving, direction), (mat, "any")):
        make_ply(part, kind, direction=way)
    return job, part
