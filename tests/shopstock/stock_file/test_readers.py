"""Files of every usual kind are read; what is no table gets a message that says what to do."""

import datetime
import io
import zipfile

import openpyxl
import pytest

from shopstock.stock_file.readers import FileProblem, read_table

ROWS = [["material", "länge"], ["Mat 1½ oz/ft²", "12,5 m"]]


def xlsx(rows, **parts: bytes) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)
    with zipfile.ZipFile(file, "a", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return file.getvalue()


def refusal(data: bytes) -> str:
    with pytest.raises(FileProblem) as refused:
        read_table(data)
    return str(refused.value)


@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_text_is_read_in_any_usual_encoding_and_with_any_usual_delimiter(delimiter, encoding, end):
    text = end.join(delimiter.join([*row, "x"]) for row in ROWS)
    assert [cells[:2] for _, cells in read_table(text.encode(encoding)).lines] == ROWS


def test_commas_and_quotes_are_read():
    table = read_table(b'material,note\n"Mat, 450","a ""b"""\n')
    assert table.lines == [(1, ["material", "note"]), (2, ["Mat, 450", 'a "b"'])]


def test_line_numbers_count_empty_lines_and_lines_inside_quotes():
    table = read_table(b'a,b\n\n"x\ny",1\nz,2\n')
    assert [line for line, _ in table.lines] == [1, 3, 5]


def test_separator_line_of_a_spreadsheet_is_obeyed():
    assert read_table(b"sep=;\na;b\n1,5;2").lines == [(2, ["a", "b"]), (3, ["1,5", "2"])]


def test_semicolons_win_over_decimal_commas():
    assert read_table(b"a;b;c\n1,5;2,5;3,5").lines[1] == (2, ["1,5", "2,5", "3,5"])


def test_semicolons_between_faults_do_not_win_over_commas():
    assert read_table(b"a,b\n1,x;y;z\n").lines[1] == (2, ["1", "x;y;z"])


def test_workbook_keeps_numbers_and_dates_as_the_spreadsheet_has_them():
    day = datetime.datetime(2026, 3, 2)  # noqa: DTZ001 - a spreadsheet knows no time zone
    assert read_table(xlsx([["a", "b", "c"], [1.5, None, day]])).lines == [
        (1, ["a", "b", "c"]),
        (2, [1.5, None, day]),
    ]


def test_workbook_says_which_sheet_was_read():
    book = openpyxl.Workbook()
    book.active.append(["a"])
    book.create_sheet("other").append(["b"])
    file = io.BytesIO()
    book.save(file)
    assert read_table(file.getvalue()).note == "Read from the sheet “Sheet”. 1 more were not read."


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "The file is empty. Its first line names the columns, then one line for each roll."),
        (b"\n\n ; \n", "The file is empty. Its first line names the columns, then one line for each roll."),
        (
            b"\x89PNG\r\n\x1a\n....",
            "This is a picture (PNG), not a table. Save the table as CSV or XLSX and choose that file.",
        ),
        (
            b"\xd0\xcf\x11\xe0....",
            "This is a workbook in the old .xls form, not a table. Save the table as CSV or XLSX and choose that file.",
        ),
        (b"a\x00b", "This is no text and no workbook. Save the table as CSV or XLSX and choose that file."),
        (b"PK\x03\x04broken", "The workbook is cut short or damaged. Copy or save it again."),
        (
            b'a,b\n"open,1\n',
            "Line 2 cannot be split into columns (unexpected end of data): a quotation mark is opened and not closed, "
            "or stands inside a text. Correct it, or save as XLSX.",
        ),
        (
            b"a," * 70 + b"z\n",
            "Line 1 has more than 60 columns. Save the table as CSV or XLSX and choose that file.",
        ),
        (b"a" * (10 * 1024 * 1024 + 1), "The file has 10.0 MB; the most is 10 MB. Split it into several."),
        (b"a,b\n" * 50_002, "The file has more than 50000 lines. Split it into several."),
    ],
    ids=lambda value: value[:20] if isinstance(value, str) else "",
)
def test_what_is_no_table_is_refused_with_what_to_do(data, message):
    assert refusal(data) == message


def test_archive_that_unpacks_to_too_much_is_refused_unread():
    bomb = xlsx([["a"]], **{"xl/big.xml": b"0" * (81 * 1024 * 1024)})
    assert len(bomb) < 200_000
    assert refusal(bomb).startswith("Unpacked, this workbook is far too large for a stock list.")


def test_other_archive_is_refused():
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("word/document.xml", "<x/>")
    assert refusal(file.getvalue()).startswith("This is an archive or another office file, not an XLSX workbook.")


def test_damaged_workbook_is_refused():
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("xl/workbook.xml", "<not closed")
    assert refusal(file.getvalue()).startswith("The workbook is damaged and cannot be opened.")
