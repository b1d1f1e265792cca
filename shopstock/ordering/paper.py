"""An order as a PDF: one table on as many pages as it takes; the same order always gives the same bytes."""

from collections.abc import Sequence
from io import BytesIO
from xml.sax.saxutils import escape

from django.utils.timezone import localdate
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from shopstock.models import Order, OrderLine, Shop

from .words import count_words, money_words, shipping_words, size_words, subject, total_of

PLAIN = ParagraphStyle("plain", fontName="Helvetica", fontSize=10, leading=13)
BOLD = ParagraphStyle("bold", parent=PLAIN, fontName="Helvetica-Bold")
HEAD = ParagraphStyle("head", parent=PLAIN, fontName="Helvetica-Bold", fontSize=18, leading=24)
RIGHT = ParagraphStyle("right", parent=PLAIN, alignment=2)
BOLD_RIGHT = ParagraphStyle("bold right", parent=BOLD, alignment=2)
WIDTHS = [10 * mm, 58 * mm, 40 * mm, 22 * mm, 28 * mm, 28 * mm]
LINES = TableStyle(
    [
        ("LINEBELOW", (0, 0), (-1, 0), 1.2, colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.4, colors.grey),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2),
    ]
)


def order_as_pdf(order: Order, lines: Sequence[OrderLine], shop: Shop) -> bytes:
    target = BytesIO()
    page = SimpleDocTemplate(
        target,
        pagesize=A4,
        leftMargin=10 * mm,
        rightMargin=10 * mm,
        topMargin=18 * mm,
        bottomMargin=18 * mm,
        title=subject(order, shop),
        author=shop.name,
        invariant=1,
    )
    page.build([*_head(order, shop), _table(order, lines, shop), *_foot(order, lines)], onLaterPages=_number)
    return target.getvalue()


def _text(words: str, style: ParagraphStyle = PLAIN) -> Paragraph:
    return Paragraph(escape(_printable(words)).replace("\n", "<br/>"), style)


def _printable(words: str) -> str:
    """What the built-in typeface has no sign for becomes a question mark, rather than a black box."""
    return words.encode("cp1252", errors="replace").decode("cp1252")


def _head(order: Order, shop: Shop) -> list:
    state = "" if order.approved_at else " (draft, not approved)"
    rows = [_text(f"Order {order.number}{state}", HEAD), _text(f"From {shop.name}"), _text(f"To {order.supplier}")]
    if order.approved_at:
        rows.append(_text(f"Approved by {order.approved_by.get_username()} on {localdate(order.approved_at)}"))
    if order.expected_on:
        rows.append(_text(f"To be delivered by {order.expected_on}", BOLD))
    return [*rows, Spacer(1, 6 * mm)]


def _table(order: Order, lines: Sequence[OrderLine], shop: Shop) -> Table:
    head = [_text(word, BOLD) for word in ("No.", "What", "Size of one", "How many")]
    head += [_text(word, BOLD_RIGHT) for word in ("Each", "Together")]
    rows = [
        [
            _text(str(number)),
            _text(str(line.material)),
            _text(size_words(line, shop)),
            _text(count_words(line)),
            _text(money_words(line.price, order.currency), RIGHT),
            _text(money_words(line.cost, order.currency), RIGHT),
        ]
        for number, line in enumerate(lines, start=1)
    ]
    return Table([head, *rows], colWidths=WIDTHS, repeatRows=1, style=LINES)


def _foot(order: Order, lines: Sequence[OrderLine]) -> list:
    parts = [
        Spacer(1, 4 * mm),
        _text(f"Goods: {total_of(lines):,.2f} {order.currency}", BOLD),
        Spacer(1, 4 * mm),
        _text(shipping_words(lines)),
    ]
    return [*parts, Spacer(1, 4 * mm), _text(order.note)] if order.note else parts


def _number(canvas, document) -> None:
    words = f"Page {document.page}"
    canvas.setFont("Helvetica", 9)
    canvas.drawString(A4[0] - 10 * mm - pdfmetrics.stringWidth(words, "Helvetica", 9), 10 * mm, words)
