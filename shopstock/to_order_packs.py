"""Packs of one product as sold, and a line that buys them."""

import datetime
from dataclasses import dataclass

from .calc.order_lines import PackSize, PacksToBuy, cheapest_packs
from .calc.units import format_mass
from .models import Chemical, Shop
from .sizes_sold import PriceBreaks, packs_sold
from .to_order_line import OrderLine, PackNeed, lead_days_of, order_by_of


@dataclass(frozen=True)
class Packs:
    """So many packs of one content, None where no content is known, and their prices by number."""

    count: int | None
    content_g: int | None
    prices: PriceBreaks = ()


def packs_of(product: Chemical, bought: PacksToBuy) -> list[Packs]:
    """The drums and pails that cover it for the least money; of the catalogue's pack where no price is known."""
    sizes = {size.content_g: size for size in packs_sold(product)}
    if not sizes:
        return [Packs(bought.packs, product.pack_g)]
    counts = cheapest_packs(bought.mass_g, list(sizes.values()))
    return [Packs(count, content_g, sizes[content_g].prices) for content_g, count in counts.items()]


def packs_for_sale(product: Chemical) -> list[PackSize]:
    """Those with a price; the catalogue's alone, without one, where none has."""
    return packs_sold(product) or ([PackSize(product.pack_g, ())] if product.pack_g else [])


def smallest_pack_g(product: Chemical) -> int | None:
    """None where nobody said what a pack holds."""
    return min((size.content_g for size in packs_for_sale(product)), default=None)


def line_of_packs(
    product: Chemical,
    packs: Packs,
    reasons: tuple[str, ...],
    needed_on: datetime.date | None,
    on: datetime.date,
    shop: Shop,
    *,
    missing_g: int,
) -> OrderLine:
    """`missing_g` is what stands in it where no pack is known."""
    lead_days = lead_days_of(product)
    return OrderLine(
        supplier=product.supplier,
        item=product.name,
        page="chemical",
        page_arg=product.pk,
        pack_name="pack",
        packs=packs.count,
        amount=format_mass(missing_g if packs.count is None else packs.content_g, shop.units),
        reasons=reasons,
        needed_on=needed_on,
        order_by=order_by_of(needed_on, lead_days, on) if packs.count != 0 else None,
        lead_days=lead_days,
        price=None if packs.content_g != product.pack_g else product.price_per_pack,
        material=product,
        needs=(PackNeed(packs.count, needed_on),) if packs.count else (),
        breaks=packs.prices,
        pack_g=packs.content_g,
    )
