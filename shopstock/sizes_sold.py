"""The sizes that a material is sold in, by whom and at what price for so many at once."""

from decimal import Decimal

from .calc.order_lines import PackSize
from .demand import SizeAsSold
from .models import Chemical, Reinforcement, Shop, Supplier

PriceBreaks = tuple[tuple[int, Decimal], ...]


def currency_of(supplier: Supplier | None, shop: Shop) -> str:
    return (supplier and supplier.currency) or shop.currency


def price_breaks(
    material: Reinforcement | Chemical, supplier: Supplier | None, catalogue: Decimal | None, **size: int
) -> PriceBreaks:
    """Prices of one size at one supplier, from so many on; the catalogue's price where none is from 1."""
    fitting = [
        offer
        for offer in material.offers.all()
        if supplier is not None
        and offer.supplier_id == supplier.pk
        and all(getattr(offer, key) == mm for key, mm in size.items())
    ]
    steps = {offer.least_packs: offer.price for offer in fitting}
    if 1 not in steps and catalogue is not None:
        steps[1] = catalogue
    return tuple(sorted(steps.items())) if 1 in steps else ()


def sizes_sold(kind: Reinforcement, shop: Shop) -> list[SizeAsSold]:
    """Every width and length on offer, the catalogue's own with it, narrowest first."""
    catalogue = (kind.supplier, kind.width_mm, kind.roll_length_mm)
    offered = {(offer.supplier, offer.width_mm, offer.length_mm) for offer in kind.offers.all()} | {catalogue}
    sizes = []
    for supplier, width_mm, length_mm in offered:
        price = kind.price_per_roll if (supplier, width_mm, length_mm) == catalogue else None
        prices = price_breaks(kind, supplier, price, width_mm=width_mm, length_mm=length_mm)
        sizes.append(SizeAsSold(width_mm, length_mm, prices, currency_of(supplier, shop), str(supplier or "")))
    return sorted(sizes, key=lambda size: (size.width_mm, size.length_mm, size.supplier))


def packs_sold(product: Chemical) -> list[PackSize]:
    """Every pack with a price at the product's own supplier, the catalogue's own with it, smallest first."""
    own = [offer.pack_g for offer in product.offers.all() if offer.supplier_id == product.supplier_id]
    contents = sorted({*own, product.pack_g} - {None})
    packs = []
    for pack_g in contents:
        catalogue = product.price_per_pack if pack_g == product.pack_g else None
        packs.append(PackSize(pack_g, price_breaks(product, product.supplier, catalogue, pack_g=pack_g)))
    return [pack for pack in packs if pack.prices]
