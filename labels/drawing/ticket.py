"""Cut tickets: what a laminator needs at the table without a screen, one roll after the other, on A4 sheets."""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from math import ceil

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from labels.calc.qr_payload import payload
from labels.drawing import fonts
from labels.drawing.items import Code
from labels.drawing.pdf import draw_code
from labels.drawing.qr_matrix import QUIET_MODULES, Matrix, matrix_of
from shopstock.calc.stock_code import group_code
from shopstock.calc.strip_picture import Box, Piece, Span, draw_strip, draw_zoom
from shopstock.calc.units import format_length, format_width
from shopstock.tickets import CutBlank, Ticket, TicketStep

PAGE_W, PAGE_H, MARGIN = 210.0, 297.0, 12.0
WIDTH = PAGE_W - 2 * MARGIN
BODY_MM, SMALL_MM = 3.6, 3.0
MODULE_MM = 0.6
TICK_BOX_MM = 5.0
MOST_ZOOM_H = 42.0
HEAD_ARROW_MM, BLANK_ARROW_MM = 20.0, 8.0
COLUMNS = ((0.0, "No"), (9.0, "Piece"), (92.0, "Along × across"), (136.0, "From start"), (161.0, "From left edge"))


@dataclass
class _Sheet:
    """A page being filled from top to bottom, the code of its roll in two corners of each."""

    canvas: Canvas
    units: str
    heading: str
    matrix: Matrix
    y: float = MARGIN

    @property
    def code_mm(self) -> float:
        return len(self.matrix) * MODULE_MM

    def make_room(self, height: float) -> None:
        """Go on on a new page where the rest of this one is less high."""
        if self.y + height <= PAGE_H - MARGIN - self.code_mm - QUIET_MODULES * MODULE_MM:
            return
        self.end_page()
        self.y = MARGIN
        self.text(0, f"{self.heading}, continued", bold=True, room=WIDTH - self.code_mm - 6)
        self.down(self.code_mm + QUIET_MODULES * MODULE_MM)

    def end_page(self) -> None:
        x = PAGE_W - MARGIN - self.code_mm
        for y in (MARGIN, PAGE_H - MARGIN - self.code_mm):
            draw_code(self.canvas, Code(x, y, MODULE_MM, 0, self.matrix))
        self.canvas.showPage()

    def paragraph(self, words: str, bold: bool = False) -> None:
        """As many lines as it takes: what must not be overlooked is not cut."""
        font = fonts.BOLD if bold else fonts.REGULAR
        for line in fonts.wrapped(fonts.printable(words), font, WIDTH / BODY_MM):
            self.text(0, line, bold=bold)
            self.down(5.5)

    def text(self, x: float, words: str, size: float = BODY_MM, bold: bool = False, room: float = WIDTH) -> None:
        """One line with its top at y; what does not fit its room is cut."""
        font = fonts.BOLD if bold else fonts.REGULAR
        kept = fonts.cut_to(fonts.printable(words), font, room / size)
        self.canvas.setFont(font, size * mm)
        self.canvas.drawString((MARGIN + x) * mm, (self.y + 0.95 * size) * mm, kept)

    def down(self, length: float) -> None:
        self.y += length

    def rule(self, thickness: float = 0.3) -> None:
        self.canvas.setLineWidth(thickness * mm)
        self.canvas.line(MARGIN * mm, self.y * mm, (MARGIN + WIDTH) * mm, self.y * mm)

    def length(self, length_mm: int) -> str:
        return format_length(length_mm, self.units)

    def size(self, length_mm: int) -> str:
        return format_width(length_mm, self.units)


def tickets_pdf(tickets: Sequence[Ticket], *, address: str, units: str) -> bytes:
    """Raises ShopAddressError for an address that no code can hold, ValueError without tickets."""
    if not tickets:
        raise ValueError("There is nothing to cut by this plan, so there is no ticket.")
    target = BytesIO()
    canvas = Canvas(target, pagesize=(PAGE_W * mm, PAGE_H * mm), bottomup=0, invariant=1)
    canvas.setTitle(f"Cut tickets: {tickets[0].job}")
    canvas.setViewerPreference("PrintScaling", "None")
    for ticket in tickets:
        _draw_ticket(canvas, ticket, address, units)
    canvas.save()
    return target.getvalue()


def _draw_ticket(canvas: Canvas, ticket: Ticket, address: str, units: str) -> None:
    matrix = matrix_of(payload(address, ticket.code, "R"))
    sheet = _Sheet(canvas, units, f"{group_code(ticket.code)}, {ticket.job}", matrix)
    _head(sheet, ticket)
    _roll(sheet, ticket)
    for number, step in enumerate(ticket.steps, start=1):
        sheet.make_room(_height(step, ticket))
        _step(sheet, ticket, step, number)
    sheet.end_page()


def _head(sheet: _Sheet, ticket: Ticket) -> None:
    room = WIDTH - sheet.code_mm - 6
    sheet.text(0, f"Cut ticket: {ticket.job}", size=5, bold=True, room=room)
    sheet.down(8)
    sheet.text(0, group_code(ticket.code), size=9, bold=True)
    sheet.down(12)
    sheet.text(0, ticket.reinforcement, size=4.4, bold=True, room=room)
    sheet.down(6.5)
    where = f", {ticket.place}" if ticket.place else ""
    sheet.text(
        0, f"{ticket.kind.capitalize()}{where}. Lot {ticket.lot or 'not given'}. Cut on {ticket.cut_on}.", room=room
    )
    sheet.down(5.5)
    sheet.text(
        0, f"{sheet.length(ticket.length_mm)} on it when planned, {sheet.size(ticket.width_mm)} wide.", room=room
    )
    sheet.down(5.5)
    sheet.text(0, "Scan the code to confirm each cut, or note what was really cut and enter it later.", size=SMALL_MM)
    sheet.down(4.5)
    if ticket.angle_sense:
        words = f"Ply angles count {ticket.angle_sense}. Lay each piece within ±3° of its direction."
        sheet.text(0, words, size=SMALL_MM)
        sheet.down(4.5)
    for mark in ticket.marks:
        sheet.paragraph(mark, bold=True)
    sheet.down(2.5)


def _roll(sheet: _Sheet, ticket: Ticket) -> None:
    """The whole roll as one band, the free end on the left."""
    strips = [
        Span(step.from_mm, step.from_mm + step.length_mm, f"{step.number}" if step.number else "")
        for step in ticket.steps
    ]
    picture = draw_strip(
        ticket.length_mm,
        ticket.width_mm,
        faults=ticket.faults,
        set_aside=strips,
        shown_mm=_shown_mm(ticket),
        system=sheet.units,
    )
    scale, top = WIDTH / picture.width, sheet.y + 4
    across = 16 / picture.band.height
    sheet.text(0, "free end", size=SMALL_MM)
    sheet.text(WIDTH - 15, "goes on" if picture.goes_on else "core end", size=SMALL_MM)
    for box in (picture.band, *picture.set_aside):
        _rect(sheet, box, scale, across, top - picture.band.y * across)
        if box.name:
            _words_in(sheet, box, scale, top + 8)
    for box in picture.faults:
        y = top + (box.y - picture.band.y) * across
        _hatched(sheet, MARGIN + box.x * scale, y, max(box.width * scale, 0.8), box.height * across)
    sheet.canvas.setFont(fonts.REGULAR, 2.4 * mm)
    for tick in picture.ticks:
        x = (MARGIN + tick.x * scale) * mm
        sheet.canvas.line(x, (top + 16) * mm, x, (top + 17.5) * mm)
        sheet.canvas.drawCentredString(x, (top + 20.3) * mm, tick.name)
    sheet.down(29)


def _shown_mm(ticket: Ticket) -> int | None:
    """A little past what is cut, unless that is most of the roll."""
    end_mm = round(1.06 * max((step.from_mm + step.length_mm for step in ticket.steps), default=0)) + 200
    return end_mm if end_mm < 0.8 * ticket.length_mm else None


def _rect(sheet: _Sheet, box: Box, scale: float, across: float, top: float) -> None:
    sheet.canvas.setLineWidth(0.3 * mm)
    sheet.canvas.rect(
        (MARGIN + box.x * scale) * mm, (top + box.y * across) * mm, box.width * scale * mm, box.height * across * mm
    )


def _words_in(sheet: _Sheet, box: Box, scale: float, middle: float) -> None:
    if box.width * scale < 3:
        return
    sheet.canvas.setFont(fonts.BOLD, SMALL_MM * mm)
    sheet.canvas.drawCentredString((MARGIN + box.middle_x * scale) * mm, (middle + 1) * mm, box.name)


def _hatched(sheet: _Sheet, left: float, top: float, width: float, height: float) -> None:
    """All in mm of the page."""
    canvas = sheet.canvas
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(left * mm, top * mm, width * mm, height * mm)
    canvas.clipPath(path, stroke=1, fill=0)
    canvas.setLineWidth(0.25 * mm)
    for step in range(-ceil(height), ceil(width), 2):
        canvas.line((left + step) * mm, (top + height) * mm, (left + step + height) * mm, top * mm)
    canvas.restoreState()


def _zoom_size(step: TicketStep, ticket: Ticket) -> tuple[float, float]:
    """How wide and high a strip is drawn, in mm, to scale."""
    scale = min(WIDTH / step.length_mm, MOST_ZOOM_H / ticket.width_mm)
    return step.length_mm * scale, ticket.width_mm * scale


def _height(step: TicketStep, ticket: Ticket) -> float:
    if step.number is None or not step.blanks:
        return 14.0 + 5.5 * len(step.offcuts)
    lines = len(step.blanks) + len(step.offcuts) + len(step.beside) + 1
    return 30.0 + _zoom_size(step, ticket)[1] + lines * 5.5


def _step(sheet: _Sheet, ticket: Ticket, step: TicketStep, number: int) -> None:
    sheet.rule(0.5 if step.number else 0.3)
    sheet.down(2.5)
    sheet.canvas.setLineWidth(0.4 * mm)
    sheet.canvas.rect(MARGIN * mm, sheet.y * mm, TICK_BOX_MM * mm, TICK_BOX_MM * mm)
    if step.done:
        sheet.text(1, "x", size=4.4, bold=True)
    what = f"Strip {step.number}: cut" if step.number else "Cut away"
    sheet.text(8, f"{number}. {what} {sheet.length(step.length_mm)}", size=4.6, bold=True, room=100)
    sheet.text(112, "really cut", size=SMALL_MM)
    sheet.canvas.line((MARGIN + 130) * mm, (sheet.y + 5) * mm, (MARGIN + WIDTH) * mm, (sheet.y + 5) * mm)
    sheet.down(7)
    start, end = sheet.length(step.from_mm), sheet.length(step.from_mm + step.length_mm)
    why = f" Because of: {step.why}." if step.why else ""
    sheet.text(8, f"{start} to {end} from the free end as it lay when planned.{why}", size=SMALL_MM, room=WIDTH - 8)
    sheet.down(5.5)
    for span in step.beside:
        left, right = (sheet.size(edge_mm) for edge_mm in span.across_mm)
        sheet.text(
            8, f"Beside the pieces: {span.name}, {left} to {right} from the left edge. Lay nothing there.", bold=True
        )
        sheet.down(5.5)
    if step.blanks:
        _zoom(sheet, ticket, step)
        _blanks(sheet, step)
    for width, length in step.offcuts:
        sheet.make_room(5.5)
        sheet.text(8, f"Keep as offcut: {sheet.length(length)} × {sheet.size(width)}. Label it.", bold=True)
        sheet.down(5.5)
    sheet.down(1.5)


def _zoom(sheet: _Sheet, ticket: Ticket, step: TicketStep) -> None:
    pieces = [
        Piece(b.from_start_mm, b.from_edge_mm, b.along_mm, b.across_mm, b.name, turned=b.turned, outline=b.outline)
        for b in step.blanks
    ]
    picture = draw_zoom(step.length_mm, ticket.width_mm, pieces)
    width, height = _zoom_size(step, ticket)
    scale = width / picture.band.width
    left, top = MARGIN - picture.band.x * scale, sheet.y + 4.5 - picture.band.y * scale
    sheet.text(0, "free end", size=SMALL_MM)
    _warp_arrow(sheet, 20, sheet.y + 1.6, HEAD_ARROW_MM)
    sheet.text(43, f"{'warp' if ticket.has_warp else 'along the roll'}, left edge on top", size=SMALL_MM)
    sheet.canvas.setLineWidth(0.3 * mm)
    _outline(sheet, left, top, scale, picture.band)
    _streaks(sheet, step, MARGIN, sheet.y + 4.5, width / step.length_mm)
    for number, box in enumerate(picture.blanks, start=1):
        _outline(sheet, left, top, scale, box)
        x, y = left + box.middle_x * scale, top + box.middle_y * scale
        has_arrow = ticket.has_warp and _arrow_fits(box, scale)
        sheet.canvas.setFont(fonts.BOLD, SMALL_MM * mm)
        sheet.canvas.drawCentredString(x * mm, (y + (0 if has_arrow else 1.1)) * mm, str(number))
        if has_arrow:
            _warp_arrow(sheet, x - BLANK_ARROW_MM / 2 - MARGIN, y + 2.4, BLANK_ARROW_MM)
    sheet.down(height + 7)


def _streaks(sheet: _Sheet, step: TicketStep, left: float, top: float, scale: float) -> None:
    """The faults beside the pieces, as much of them as lies in this strip."""
    for span in step.beside:
        start_mm, end_mm = max(0, span.start_mm - step.from_mm), min(step.length_mm, span.end_mm - step.from_mm)
        edge_mm, far_mm = span.across_mm
        x, y = left + start_mm * scale, top + edge_mm * scale
        _hatched(sheet, x, y, max((end_mm - start_mm) * scale, 0.8), max((far_mm - edge_mm) * scale, 0.8))


def _outline(sheet: _Sheet, left: float, top: float, scale: float, box: Box) -> None:
    """A rectangle, or a piece by its corners, in the units of the picture."""
    corners = [tuple(map(float, point.split(","))) for point in box.points.split()]
    if not corners:
        corners = [(box.x, box.y), (box.x + box.width, box.y)]
        corners += [(box.x + box.width, box.y + box.height), (box.x, box.y + box.height)]
    path = sheet.canvas.beginPath()
    for number, (x, y) in enumerate(corners):
        draw = path.lineTo if number else path.moveTo
        draw((left + x * scale) * mm, (top + y * scale) * mm)
    path.close()
    sheet.canvas.drawPath(path)


def _arrow_fits(box: Box, scale: float) -> bool:
    """Under the number, inside the piece."""
    room_x, room_y = (2 * box.room, 2 * box.room) if box.inside else (box.width, box.height)
    return room_x * scale >= BLANK_ARROW_MM + 4 and room_y * scale >= 9


def _warp_arrow(sheet: _Sheet, x: float, y: float, length: float) -> None:
    left, right = (MARGIN + x) * mm, (MARGIN + x + length) * mm
    sheet.canvas.setLineWidth(0.3 * mm)
    sheet.canvas.line(left, y * mm, right, y * mm)
    for tip, back in ((right, -1), (left, 1)):
        for side in (-1, 1):
            sheet.canvas.line(tip, y * mm, tip + back * 2.5 * mm, (y + side * 1.3) * mm)


def _blanks(sheet: _Sheet, step: TicketStep) -> None:
    for x, title in COLUMNS:
        sheet.text(x, title, size=SMALL_MM)
    sheet.down(5)
    for number, blank in enumerate(step.blanks, start=1):
        sheet.make_room(5)
        for (x, _), words in zip(COLUMNS, _cells(sheet, number, blank), strict=True):
            sheet.text(x, words, bold=x == COLUMNS[1][0], room=81 if x == COLUMNS[1][0] else 42)
        sheet.down(5)


def _cells(sheet: _Sheet, number: int, blank: CutBlank) -> tuple[str, ...]:
    lies = f", at {blank.lies_at}" if blank.lies_at else ""
    turned = ", turned" if blank.turned else ""
    return (
        str(number),
        f"Ply {blank.ply_number}, {blank.name}{lies}{turned}",
        f"{sheet.size(blank.along_mm)} × {sheet.size(blank.across_mm)}",
        sheet.size(blank.from_start_mm),
        sheet.size(blank.from_edge_mm),
    )
