"""The short caution that stands where a dangerous product is handled; its own safety data sheet overrides it."""

from shopstock.models import Chemical

CAUTIONS = {
    Chemical.Kind.PEROXIDE: (
        "Organic peroxide must never meet promoter, amine hardener, acetone, acids or metal. "
        "Keep it cool, in a cabinet of its own, and only the day’s need at the bench."
    ),
    Chemical.Kind.PROMOTER: (
        "Promoter and organic peroxide mixed directly explode. "
        "Stir promoter fully into the resin first, and keep the two in separate cabinets."
    ),
    Chemical.Kind.HARDENER: "Keep hardener away from organic peroxides. It burns skin and can sensitise: wear gloves.",
    **dict.fromkeys(
        (Chemical.Kind.POLYESTER, Chemical.Kind.VINYLESTER, Chemical.Kind.GELCOAT),
        "Flammable, and its styrene vapour harms: air the place, keep flames and sparks away, wear gloves.",
    ),
    Chemical.Kind.EPOXY: "Epoxy can sensitise the skin for good: wear gloves, and keep it off bare hands.",
    Chemical.Kind.ADHESIVE: "Wear gloves and air the place, as its sheet says.",
    Chemical.Kind.SOLVENT: "Flammable. Solvent, acetone above all, must never meet organic peroxide.",
}


def caution_for(chemical: Chemical) -> str:
    return CAUTIONS.get(chemical.kind, "")
