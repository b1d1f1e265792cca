"""An order in words: the text of an e-mail, and the lines that the PDF prints too."""

from collections.abc import Sequence
from decimal import Decimal
from urllib.parse import quote, urlencode

from shopstock.calc.units import format_length, format_mass, format_width
from shopstock.models import Order, OrderLine, Shop


def size_words(line: OrderLine, shop: Shop) -> str:
    """ "1250 mm × 50.00 m" or "25.00 kg"."""
    if line.pack_g:
        return format_mass(line.pack_g, shop.units)
    return f"{format_width(line.width_mm, shop.units)} × {format_length(line.length_mm, shop.units)}"


def count_words(line: OrderLine) -> str:
    name = "pack" if line.chemical_id else "roll"
    return f"{line.packs} {name}{'' if line.packs == 1 else 's'}"


def money_words(amount: Decimal | None, currency: str) -> str:
    return "price as agreed" if amount is None else f"{amount:,.2f} {currency}"


def total_of(lines: Sequence[OrderLine]) -> Decimal:
    return sum((line.cost for line in lines if line.cost is not None), Decimal(0))


def shipping_words(lines: Sequence[OrderLine]) -> str:
    """How it is to be sent: cloth suffers from folds and damp, resin has a date and a hazard."""
    words = []
    if any(line.reinforcement_id for line in lines):
        words.append("Please ship rolls on their cores, dry and unfolded, with lot and length on every label.")
    if any(line.chemical_id for line in lines):
        words.append(
            "Please mark every pack with its batch and use-by date, of the newest batch you have, and send its safety "
            "and technical data sheets."
        )
    return " ".join(words)


def subject(order: Order, shop: Shop) -> str:
    return f"Order {order.number} of {shop.name}"


def order_words(order: Order, lines: Sequence[OrderLine], shop: Shop) -> str:
    rows = [
        f"{number}. {count_words(line)} of {line.material}, {size_words(line, shop)} each, "
        f"{money_words(line.price, order.currency)} each, {money_words(line.cost, order.currency)}"
        for number, line in enumerate(lines, start=1)
    ]
    wanted = f"Please deliver by {order.expected_on}." if order.expected_on else "Please tell us when you can deliver."
    draft = "" if order.approved_at else "DRAFT, not approved.\n\n"
    parts = [
        f"{draft}Dear {order.supplier},",
        f"we order, as our number {order.number}:",
        "\n".join(rows),
        f"Goods: {total_of(lines):,.2f} {order.currency}",
        wanted,
        shipping_words(lines),
        *([order.note] if order.note else []),
        f"{shop.name}" + (f", {order.approved_by.get_username()}" if order.approved_by else ""),
    ]
    return "\n\n".join(parts)


def mail_address(order: Order, text: str, shop: Shop) -> str:
    """A link that opens the shop's own mail program with the order in it."""
    fields = urlencode({"subject": subject(order, shop), "body": text.replace("\n", "\r\n")}, quote_via=quote)
    return f"mailto:{quote(order.supplier.email, safe='@')}?{fields}"
