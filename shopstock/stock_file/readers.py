"""A file's bytes to lines of cells: CSV of any usual kind, or XLSX. Knows nothing of stock."""

import csv
import io
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass

import openpyxl

from shopstock.calc.stock_cells import Cell

MOST_BYTES = 10 * 1024 * 1024
MOST_LINES = 50_000
MOST_COLUMNS = 60
MOST_UNPACKED_BYTES = 80 * 1024 * 1024

_OTHER_FILES = {
    b"\x89PNG": "a picture (PNG)",
    b"\xff\xd8\xff": "a picture (JPEG)",
    b"GIF8": "a picture (GIF)",
    b"%PDF": "a PDF",
    b"\xd0\xcf\x11\xe0": "a workbook in the old .xls form",
    b"{\\rtf": "a text document",
}
_SAVE_AS = "Save the table as CSV or XLSX and choose that file."


class FileProblem(Exception):
    """A file that cannot be read as a table at all; the message says what to do."""


@dataclass(frozen=True)
class Table:
    """Lines that hold something, each with its number as a spreadsheet shows it, and a note on how it was read."""

    lines: list[tuple[int, list[Cell]]]
    note: str = ""


def read_table(data: bytes) -> Table:
    """Recognise the kind of file by its content, whatever its name, and read its lines."""
    if len(data) > MOST_BYTES:
        raise FileProblem(f"The file has {len(data) / 1024 / 1024:.1f} MB; the most is 10 MB. Split it into several.")
    for start, name in _OTHER_FILES.items():
        if data.startswith(start):
            raise FileProblem(f"This is {name}, not a table. {_SAVE_AS}")
    table = _read_xlsx(data) if data.startswith(b"PK\x03\x04") else _read_csv(data)
    if not table.lines:
        raise FileProblem("The file is empty. Its first line names the columns, then one line for each roll.")
    return table


def _take(lines: Iterator[tuple[int, list[Cell]]]) -> list[tuple[int, list[Cell]]]:
    kept = []
    for line, cells in lines:
        if all(cell is None or str(cell).strip() == "" for cell in cells):
            continue
        if len(cells) > MOST_COLUMNS and any(str(cell or "").strip() for cell in cells[MOST_COLUMNS:]):
            raise FileProblem(f"Line {line} has more than {MOST_COLUMNS} columns. {_SAVE_AS}")
        kept.append((line, cells[:MOST_COLUMNS]))
        if len(kept) > MOST_LINES + 1:
            raise FileProblem(f"The file has more than {MOST_LINES} lines. Split it into several.")
    return kept


def _read_csv(data: bytes) -> Table:
    text, encoding = _decode(data)
    first, _, rest = text.partition("\n")
    skipped = 0
    if first.strip().lower().startswith("sep="):
        delimiter, text, skipped = first.strip()[4:5] or "\t", rest, 1
    else:
        delimiter = _delimiter(text)
    names = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
    note = f"Read as {encoding} with {names.get(delimiter, delimiter)} between the columns."
    return Table(_take(_csv_lines(text, delimiter, skipped)), note)


def _csv_lines(text: str, delimiter: str, skipped: int) -> Iterator[tuple[int, list[Cell]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            yield line + skipped, cells
            line = reader.line_num + 1
    except csv.Error as error:
        raise FileProblem(
            f"Line {line + skipped} cannot be split into columns ({error}): a quotation mark is opened and not closed, "
            "or stands inside a text. Correct it, or save as XLSX."
        ) from None


def _decode(data: bytes) -> tuple[str, str]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding, name = "utf-16", "Unicode (UTF-16)"
    elif b"\x00" in data:
        raise FileProblem(f"This is no text and no workbook. {_SAVE_AS}")
    else:
        encoding, name = "utf-8-sig", "Unicode (UTF-8)"
    try:
        return data.decode(encoding), name
    except UnicodeDecodeError:
        pass
    # Windows-1252 is Latin-1 with a few more signs; the bytes it leaves out are Latin-1's.
    try:
        return data.decode("cp1252"), "Latin-1"
    except UnicodeDecodeError:
        return data.decode("latin-1"), "Latin-1"


def _delimiter(text: str) -> str:
    """The sign that stands in the most of the first lines; on a tie not the comma, which may be a decimal one."""
    sample = [line for line in text.splitlines()[:20] if line.strip()][:10]
    return max((";", "\t", "|", ","), key=lambda sign: sum(sign in line for line in sample))


def _read_xlsx(data: bytes) -> Table:
    _refuse_bad_archive(data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter(
                "ignore"
            )  # the library warns of styles and drop-down lists that a stock file may have
            return _first_sheet(data)
    except FileProblem:
        raise
    except Exception:  # a damaged workbook can fail anywhere inside the library
        raise FileProblem(
            f"The workbook is damaged and cannot be opened. Open and save it again, or {_lower()}"
        ) from None


def _lower() -> str:
    return _SAVE_AS[0].lower() + _SAVE_AS[1:]


def _refuse_bad_archive(data: bytes) -> None:
    try:
        parts = zipfile.ZipFile(io.BytesIO(data)).infolist()
    except zipfile.BadZipFile:
        raise FileProblem("The workbook is cut short or damaged. Copy or save it again.") from None
    if sum(part.file_size for part in parts) > MOST_UNPACKED_BYTES or len(parts) > 2000:
        raise FileProblem(
            "Unpacked, this workbook is far too large for a stock list. Copy the table into a new workbook."
        )
    if not any(part.filename == "xl/workbook.xml" for part in parts):
        raise FileProblem(f"This is an archive or another office file, not an XLSX workbook. {_SAVE_AS}")


def _first_sheet(data: bytes) -> Table:
    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    try:
        if not book.worksheets:
            raise FileProblem("The workbook has no sheet with cells. Put the table on its first sheet.")
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # what a file says of its own size is often wrong
        rows = sheet.iter_rows(values_only=True)
        lines = _take((number, list(cells)) for number, cells in enumerate(rows, start=1))
        others = len(book.worksheets) - 1
        note = f"Read from the sheet “{sheet.title}”." + (f" {others} more were not read." if others else "")
        return Table(lines, note)
    finally:
        book.close()
