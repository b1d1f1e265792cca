"""Labels for the pieces that a plan cuts, one each, so that they are found when their turn comes."""

from collections.abc import Sequence
from dataclasses import dataclass

from labels.calc.label_content import KitLabel
from labels.calc.qr_payload import payload
from labels.runs import Kind, Line
from shopstock.calc.stock_code import group_code
from shopstock.calc.units import format_width
from shopstock.models import Shop
from shopstock.tickets import CutBlank, Ticket


@dataclass(frozen=True)
class CutPiece:
    """A piece and the ticket of the roll that it is cut from."""

    ticket: Ticket
    blank: CutBlank

    @property
    def line(self) -> Line:
        piece = f"{self.ticket.job}: {self.blank.part}, ply {self.blank.ply_number}, {self.blank.name}"
        return Line(self.ticket.code, Kind.PIECE, piece=piece[:160])

    def label(self, shop: Shop) -> KitLabel:
        return _label(self.ticket, self.blank, shop)


def cut_pieces(tickets: Sequence[Ticket]) -> list[CutPiece]:
    """In the order in which the plies are laid, part by part: so they go into their bags."""
    pieces = [CutPiece(ticket, blank) for ticket in tickets for blank in ticket.blanks]
    return sorted(pieces, key=lambda piece: (piece.blank.part, piece.blank.ply_number, piece.blank.name))


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
