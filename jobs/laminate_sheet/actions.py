import datetime

from django.contrib.auth.models import AbstractBaseUser

from jobs.calc.constituents import FIBRE_DATA, RESIN_DATA
from jobs.models import MaterialProperties
from jobs.models.material_properties import FIBRE, MATERIALS


def properties_of(material: str) -> MaterialProperties:
    """The shop's own row of a material, or a new one filled with the defaults where there are any."""
    found = MaterialProperties.objects.filter(material=material).first()
    return found or MaterialProperties(material=material, **default_values(material))


def default_values(material: str) -> dict:
    kind, key = material.split(":")
    data = (FIBRE_DATA if kind == FIBRE else RESIN_DATA).get(key)
    if data is None:
        return {}
    figures = data.stiffness
    common = {"density": figures.density, "poisson": figures.poisson, "source": ""}
    if kind != FIBRE:
        return common | {"modulus": figures.modulus, "shear_modulus": figures.shear}
    moduli = {"modulus": figures.along, "modulus_across": figures.across, "shear_modulus": figures.shear}
    strains = vars(data.strains) if data.strains else {}
    return common | moduli | {f"strain_{name}": value for name, value in strains.items()}


def save_properties(*, properties: MaterialProperties, by: AbstractBaseUser, at: datetime.datetime) -> None:
    properties.by, properties.at = by, at
    properties.save()


def back_to_defaults(*, material: str) -> None:
    MaterialProperties.objects.filter(material=material).delete()


def every_material() -> list[tuple[str, str, MaterialProperties, str]]:
    """(key, name, figures, source) of every fibre and resin; figures without a modulus are not known."""
    own = {row.material: row for row in MaterialProperties.objects.select_related("by")}
    rows = []
    for material, name in MATERIALS.items():
        kind, key = material.split(":")
        data = (FIBRE_DATA if kind == FIBRE else RESIN_DATA).get(key)
        source = data.source if data else "no figures yet"
        shown = own.get(material) or MaterialProperties(material=material, **default_values(material))
        rows.append((material, name, shown, own[material].source if material in own else source))
    return rows
