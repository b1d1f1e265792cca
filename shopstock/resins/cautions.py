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
    Chemical.Kind.SOLVENT: "Flammable. Solvent, acetone above all, must never meet organic peroxide.",
}


def caution_for(chemical: Chemical) -> str:
    return CAUTIONS.get(chemical.kind, "")
