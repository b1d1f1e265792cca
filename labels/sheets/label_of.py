"""What the label of a roll or a container says, in the units the shop chose."""

from labels.calc.label_content import ContainerLabel, Label, PlaceLabel, RollLabel
from labels.calc.qr_payload import payload
from labels.drawing.pictograms import NAMES
from shopstock.calc.forms import CHOPPED_STRAND_MAT, CORE, FORMS, VEIL
from shopstock.calc.units import format_areal_weight, format_length, format_width
from shopstock.models import Container, Place, Reinforcement, Roll, Shop

FLAT_NOTE = "keep flat, do not fold"


Item = Roll | Container | Place


def label_of(item: Item, shop: Shop) -> Label:
    """Raises ShopAddressError when the shop's address cannot be printed as a code."""
    match item:
        case Roll():
            return roll_label(item, shop)
        case Container():
            return container_label(item, shop)
        case Place():
            return place_label(item, shop)


def place_name(item: Item) -> str:
    """The place that the label of a thing names; one that is moved needs a new label."""
    if isinstance(item, Place):
        return item.name
    return item.place.name if item.place else ""


def roll_label(roll: Roll, shop: Shop) -> RollLabel:
    cloth = roll.reinforcement
    return RollLabel(
        code=roll.code,
        payload=payload(shop.address, roll.code, "R"),
        reinforcement=cloth.name,
        form=FORMS[cloth.form].name,
        areal_weight_text=format_areal_weight(cloth.areal_weight_gsm, cloth.form, shop.units),
        width_text=format_width(roll.width_mm, shop.units),
        lot=roll.lot,
        length_text=format_length(roll.length_mm, shop.units),
        received_text=roll.received_on.isoformat(),
        warp_along=True if has_warp(cloth) else None,
        kind=roll.kind,
        place=place_name(roll),
        **({"note": FLAT_NOTE} if roll.kind == Roll.Kind.OFFCUT else {}),
    )


def has_warp(cloth: Reinforcement) -> bool:
    """Mat, veil and core have none; it runs along the length of every roll and of every offcut kept."""
    layers = list(cloth.layers.all())
    if layers:
        return any(layer.angle_deg is not None for layer in layers)
    return cloth.form not in (CHOPPED_STRAND_MAT, VEIL, CORE)


def container_label(container: Container, shop: Shop) -> ContainerLabel:
    opened = container.opened_on
    chemical = container.chemical
    return ContainerLabel(
        code=container.code,
        payload=payload(shop.address, container.code, "C"),
        product=chemical.name,
        role=chemical.get_kind_display(),
        batch=container.batch,
        expiry_text=container.label_date.isoformat(),
        opened_text=opened.isoformat() if opened else "",
        hazard_codes=tuple(chemical.hazards.split()),
        pictograms=tuple(code for code in chemical.pictogram_codes if code in NAMES),
        litres=litres_of(container),
    )


def litres_of(container: Container) -> float:
    """What the package holds: as the product is sold, or what is in it, whichever is more."""
    mass_g = max(container.chemical.pack_g or 0, container.mass_g, 1)
    return mass_g / 1000 / float(container.chemical.density_liquid)


def place_label(place: Place, shop: Shop) -> PlaceLabel:
    return PlaceLabel(
        code=place.code,
        payload=payload(shop.address, place.code, "P"),
        name=place.name,
        sort=place.get_kind_display(),
        keeps_text=place.notes or "",
    )
