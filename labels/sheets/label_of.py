"""What the label of a roll or a container says, in the units the shop chose."""

from labels.calc.label_content import ContainerLabel, Label, RollLabel
from labels.calc.qr_payload import payload
from shopstock.calc.forms import CHOPPED_STRAND_MAT, CORE, FORMS, VEIL
from shopstock.calc.units import format_areal_weight, format_length, format_width
from shopstock.models import Container, Reinforcement, Roll, Shop

FLAT_NOTE = "keep flat, do not fold"


def label_of(item: Roll | Container, shop: Shop) -> Label:
    """Raises ShopAddressError when the shop's address cannot be printed as a code."""
    return roll_label(item, shop) if isinstance(item, Roll) else container_label(item, shop)


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
    return ContainerLabel(
        code=container.code,
        payload=payload(shop.address, container.code, "C"),
        product=container.chemical.name,
        role=container.chemical.get_kind_display(),
        batch=container.batch,
        expiry_text=container.label_date.isoformat(),
        opened_text=opened.isoformat() if opened else "",
    )
