"""The short cautions of a mixing page, by kind of product."""

from shopstock.models import Chemical

LEFTOVER = "Leftover mixed resin in bulk runs hot and can smoke: spread it thin in a tray, outside, away from waste."
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
        return [LEFTOVER, DUST]
    return [*BY_KIND.get(resin.kind, WITH_PEROXIDE), LEFTOVER, DUST]
