"""Labels for the pieces that a plan cuts, one each, so that they are found when their turn comes."""

from collections.abc import Sequence

from labels.calc.label_content import KitLabel
from labels.calc.qr_payload import payload
from shopstock.calc.stock_code import group_code
from shopstock.calc.units import format_width
from shopstock.models import Shop
from shopstock.tickets import CutBlank, Ticket


def kit_labels(tickets: Sequence[Ticket], shop: Shop) -> list[KitLabel]:
    """In the order in which the plies are laid, part by part: so they go into their bags."""
    pieces = [(ticket, blank) for ticket in tickets for blank in ticket.blanks]
    pieces.sort(key=lambda piece: (piece[1].part, piece[1].ply_number, piece[1].name))
    return [_label(ticket, blank, shop) for ticket, blank in pieces]


def _label(ticket: Ticket, blank: CutBlank, shop: Shop) -> KitLabel:
    along, across = format_width(blank.along_mm, shop.units), format_width(blank.across_mm, shop.units)
    return KitLabel(
        code=ticket.code,
        payload=payload(shop.address, ticket.code, "R"),
        ply=f"Ply {blank.ply_number}",
        piece=blank.name,
        part=blank.part,
        job=f"{ticket.job}, cut on {ticket.cut_on}",
        reinforcement=ticket.reinforcement,
        size_text=f"{along} × {across}{', turned' if blank.turned else ''}",
        warp_along=True if ticket.has_warp else None,
        note=f"from {ticket.kind} {group_code(ticket.code)}, lot {ticket.lot or 'not given'}",
    )
