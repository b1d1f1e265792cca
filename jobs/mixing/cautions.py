"""The short cautions of a mixing page, by kind of product."""

from jobs.calc.off_angle import ALLOWED_DEG, strength_lost_percent
from shopstock.models import Chemical

LEFTOVER = "Leftover mixed resin in bulk runs hot and can smoke: spread it thin in a tray, outside, away from waste."
ANGLE = (
    f"Lay each ply within {ALLOWED_DEG}° of its direction: 5° off costs about {strength_lost_percent(5)} % of its "
    f"strength, 10° as much as {strength_lost_percent(10)} %."
)
DUST = "Wear what the data sheet asks for against dust, vapour and skin contact."
BY_KIND = {
    Chemical.Kind.EPOXY: (
        "The ratio of resin to hardener is fixed: never change it to change the speed. A ratio by volume is not the "
        "ratio by weight.",
    ),
}
WITH_PEROXIDE = (
    "Organic peroxide never meets promoter, amine or acetone: stir promoter fully into the resin before any catalyst.",
    "Keep the catalyst dose inside the resin’s data sheet; more does not make up for cold.",
)


def cautions_for(resin: Chemical | None) -> list[str]:
    if resin is None:
        return [LEFTOVER, DUST, ANGLE]
    return [*BY_KIND.get(resin.kind, WITH_PEROXIDE), LEFTOVER, DUST, ANGLE]
