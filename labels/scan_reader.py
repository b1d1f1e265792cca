"""How labels are read where somebody scans into a field that is not for scanning alone."""

from labels.calc.qr_payload import NotALabelError, scan
from labels.calc.supplier_label import NotGS1Error, read_supplier_label
from shopstock.calc.stock_code import WrongCodeError


def code_in(text: str) -> str:
    """The code in a label's address, typed on whatever keyboard; empty where there is none."""
    try:
        scanned = scan(text)
    except (NotALabelError, WrongCodeError):
        return ""
    return scanned.code


def is_suppliers(text: str) -> bool:
    """Whether it is a supplier's label, which says what came in."""
    try:
        read_supplier_label(text)
    except NotGS1Error:
        return False
    return True
