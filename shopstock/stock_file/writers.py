"""The stock as a file with the same columns that the import reads."""

import csv
import io
from collections.abc import Iterable, Iterator
from decimal import Decimal

import openpyxl
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from shopstock.calc.layers import LayerWeight, write_layers
from shopstock.calc.stock_cells import Cell, shielded
from shopstock.calc.stock_columns import COLUMNS
from shopstock.models import Fault, Roll
from shopstock.queries import open_rolls


def stock_lines() -> Iterator[dict[str, Cell]]:
    """Every roll and offcut on the racks, by column key; lengths in the unit that the heading names."""
    rolls = open_rolls().select_related("supplier").prefetch_related("faults", "reinforcement__layers").order_by("pk")
    yield from (_line(roll) for roll in rolls)


def _line(roll: Roll) -> dict[str, Cell]:
    fabric = roll.reinforcement
    quarantined = roll.condition == Roll.Condition.QUARANTINED
    return {
        "code": roll.code,
        "kind": roll.get_kind_display(),
        "material": fabric.name,
        "form": fabric.get_form_display(),
        "fibre": fabric.get_fibre_display(),
        "weave": fabric.weave,
        "areal_weight": fabric.areal_weight_gsm,
        "layers": write_layers([LayerWeight(layer.angle_deg, layer.areal_weight_gsm) for layer in fabric.layers.all()]),
        "sold_width": fabric.width_mm,
        "sold_length": thousandths(fabric.roll_length_mm),
        "width": roll.width_mm,
        "length": thousandths(roll.length_mm),
        "label_length": thousandths(roll.label_length_mm),
        "rolls": 1,
        "lot": roll.lot,
        "supplier": roll.supplier.name if roll.supplier else "",
        "place": roll.place.name if roll.place else "",
        "lying": roll.get_lying_display(),
        "received": roll.received_on,
        "price": roll.price,
        "gross": thousandths(roll.gross_g),
        "tube": thousandths(roll.tube_g),
        "condition": roll.condition,
        "condition_reason": roll.condition_reason if quarantined else "",
        "faults": "; ".join(_fault(roll, fault) for fault in roll.faults.all() if _is_on(roll, fault)),
    }


def thousandths(whole: int | None) -> Decimal | None:
    """mm as m, g as kg, exact."""
    return None if whole is None else Decimal(whole).scaleb(-3)


def _is_on(roll: Roll, fault: Fault) -> bool:
    return fault.cleared_at is None and fault.from_mm < roll.length_mm


def _fault(roll: Roll, fault: Fault) -> str:
    start, end = max(0, roll.length_mm - fault.to_mm), roll.length_mm - fault.from_mm
    note = f" ({fault.note.replace(';', ',')})" if fault.note else ""
    return f"{start}-{end} mm {fault.get_cause_display()}{note}"


def write_csv(lines: Iterable[dict[str, Cell]]) -> bytes:
    """Commas, points, and the mark by which spreadsheets know Unicode."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow([column.full_heading for column in COLUMNS])
    writer.writerows([_harmless(line.get(column.key)) for column in COLUMNS] for line in lines)
    return b"\xef\xbb\xbf" + text.getvalue().encode()


def write_xlsx(lines: Iterable[dict[str, Cell]]) -> bytes:
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Stock")
    sheet.freeze_panes = "A2"
    sheet.append([column.full_heading for column in COLUMNS])
    for line in lines:
        sheet.append([_harmless(line.get(column.key)) for column in COLUMNS])
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _harmless(cell: Cell) -> Cell:
    return shielded(ILLEGAL_CHARACTERS_RE.sub(" ", cell)) if isinstance(cell, str) else cell


EXAMPLE_LINES: tuple[dict[str, Cell], ...] = (
    {
        "kind": "roll",
        "material": "Woven roving 600",
        "form": "woven roving",
        "fibre": "E-glass",
        "weave": "plain",
        "areal_weight": Decimal("600"),
        "sold_width": 1250,
        "sold_length": Decimal("50"),
        "width": 1250,
        "length": Decimal("31.4"),
        "lot": "L-204",
        "supplier": "Example supplier",
        "place": "Rack A1",
        "received": "2026-01-15",
        "condition": "usable",
    },
    {
        "kind": "roll",
        "material": "Chopped strand mat 450",
        "form": "chopped strand mat",
        "fibre": "E-glass",
        "weave": "none",
        "areal_weight": "1.5 oz/ft²",
        "sold_width": 1270,
        "sold_length": Decimal("55"),
        "width": "50 in",
        "length": "60 yd",
        "rolls": 3,
        "condition": "quarantined",
        "condition_reason": "box was wet",
        "faults": "12.5-12.8 m crease",
    },
)
