"""Reading what a supplier's label says in GS1's form: an element string, or a Digital Link address."""

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal

import biip
from biip.gs1_element_strings import GS1ElementString
from biip.gs1_messages import GS1Message

GS = "\x1d"
G_PER_KG = 1000
MM_PER_M = 1000
WINDINGS = {"0": "face out", "1": "face in", "9": ""}

_LONGEST = 500
_SPELLED_GS = re.compile(r"<GS>|\{GS\}|\\x1d|\^\]|␝|<FNC1>|\{FNC1\}", re.IGNORECASE)
_BARE_NUMBER = re.compile(r"\d{8}|\d{12,14}")
_FIELD = re.compile(r"AI \((\d{2,4})\)")
_HRI = re.compile(r"^\(\d{2,4}\)")
_ADDRESS = re.compile(r"^(https?)://([^/]*)", re.IGNORECASE)
# AIs whose value means nothing without the article that they belong to (GS1 General Specifications)
_NEEDS_ARTICLE = {"10", "11", "13", "15", "17", "21", "8001"}


class NotGS1Error(ValueError):
    """What was scanned is nothing in GS1's form; the message says what to try."""


@dataclass(frozen=True)
class SupplierLabel:
    """What a label says, in mm, g and days; None or "" where it says nothing. problems are sentences for a person."""

    gtin: str = ""
    lot: str = ""
    serial: str = ""
    made_on: datetime.date | None = None
    best_before: datetime.date | None = None
    expires_on: datetime.date | None = None
    names_month: frozenset[str] = frozenset()
    net_g: int | None = None
    length_mm: int | None = None
    width_mm: int | None = None
    core_mm: int | None = None
    winding: str = ""
    splices: int | None = None
    others: tuple[tuple[str, str], ...] = ()
    problems: tuple[str, ...] = field(default=())


def read_supplier_label(text: str) -> SupplierLabel:
    """Return what a supplier's label says.

    text: an element string with or without its symbology mark, the same with brackets as printed beside the code, or a
    Digital Link in any case. Result: SupplierLabel; lengths in mm, masses in g.
    Raises NotGS1Error when it is none of these, or breaks the rules of a field.
    Source: GS1 General Specifications, identifiers 01, 10, 11, 13, 15, 17, 21, 310n, 311n, 312n, 320n and 8001.
    Worked: (01)99521234567892(8001)12700010007601(10)L2407A is lot L2407A, 1270 mm x 100 m, a core of 76 mm, 1 splice.
    """
    text = text.strip("\r\n\t ")
    if _BARE_NUMBER.fullmatch(text):
        return _article_alone(text)
    elements = _elements(text)
    label = SupplierLabel()
    for element in elements:
        label = _with(label, element)
    used = {element.ai.ai for element in elements}
    if any(ai in _NEEDS_ARTICLE or ai[:3] in _AMOUNTS for ai in used) and "01" not in used and "02" not in used:
        label = _problem(label, "The label names no article (GTIN), so choose the material yourself.")
    return label


def _article_alone(text: str) -> SupplierLabel:
    """The bar code of a shop shelf: only which article it is."""
    try:
        gtin = biip.parse(text).gtin
    except (biip.ParseError, ValueError):
        gtin = None
    if gtin is None:
        raise NotGS1Error(f"{text} is no article number: a digit is wrong or missing. Scan it again.")
    return SupplierLabel(gtin=gtin.as_gtin_14())


def _elements(text: str) -> list[GS1ElementString]:
    if not text:
        raise NotGS1Error("Nothing arrived, so it is no supplier's label. Scan it again.")
    if len(text) > _LONGEST:
        raise NotGS1Error("That is far more text than a label holds. Scan the code alone.")
    tidy = _SPELLED_GS.sub(GS, text)
    tidy = _ADDRESS.sub(lambda found: found[0].lower(), tidy)
    if _HRI.match(tidy):
        return _parsed_hri(tidy)
    try:
        found = biip.parse(tidy)
    except (biip.ParseError, ValueError):
        found = None
    message = found and (found.gs1_message or found.gs1_digital_link_uri)
    if message:
        return list(message.element_strings)
    raise NotGS1Error(_why_not(tidy, found))


def _parsed_hri(text: str) -> list[GS1ElementString]:
    try:
        return list(GS1Message.parse_hri(text).element_strings)
    except (biip.ParseError, ValueError) as error:
        raise NotGS1Error(_broken_rule(str(error))) from None


def _broken_rule(error: str) -> str:
    found = _FIELD.search(error)
    where = f"The field ({found[1]}) of the label" if found else "The label"
    return f"{where} breaks the rules of GS1, a digit too few or a day that is none. Type what it says into the form."


def _why_not(text: str, found) -> str:
    if found is not None and found.gs1_message_error and _FIELD.search(found.gs1_message_error):
        return _broken_rule(found.gs1_message_error)
    if re.fullmatch(r"[0-9A-Za-z\-/. ]{16,}", text) and text[:2] in ("01", "02", "00"):
        return (
            "The marks between the fields are missing: many keyboard scanners lose them. Take a photo of the code, or "
            "type what stands beside it, with its brackets."
        )
    return "This is no supplier's label in GS1's form. Type what it says into the form."


def _with(label: SupplierLabel, element: GS1ElementString) -> SupplierLabel:
    ai, value = element.ai.ai, element.value
    if ai == "01":
        return _with_gtin(label, element)
    if ai == "8001":
        return _with_roll(label, element.pattern_groups)
    if ai in _TEXTS:
        return replace(label, **{_TEXTS[ai]: value})
    if ai in _DATES and element.date:
        months = label.names_month | ({_DATES[ai]} if value.endswith("00") else set())
        return replace(label, **{_DATES[ai]: element.date}, names_month=frozenset(months))
    if ai[:3] in _AMOUNTS and element.decimal is not None:
        name, factor = _AMOUNTS[ai[:3]]
        return replace(label, **{name: round(element.decimal * factor)})
    return replace(label, others=(*label.others, (element.ai.description, value)))


_TEXTS = {"10": "lot", "21": "serial"}
_DATES = {"11": "made_on", "13": "made_on", "15": "best_before", "17": "expires_on"}
# Three digits of the identifier, the fourth says the decimals; kg, m, m and lb
_AMOUNTS = {
    "310": ("net_g", Decimal(G_PER_KG)),
    "311": ("length_mm", Decimal(MM_PER_M)),
    "312": ("width_mm", Decimal(MM_PER_M)),
    "320": ("net_g", Decimal("453.59237")),
}


def _with_gtin(label: SupplierLabel, element: GS1ElementString) -> SupplierLabel:
    if element.gtin_error or element.gtin is None:
        return _problem(
            label, f"The article number {element.value} does not check: a digit is wrong or two are swapped."
        )
    return replace(label, gtin=element.gtin.as_gtin_14())


def _with_roll(label: SupplierLabel, groups: Iterable[str]) -> SupplierLabel:
    """8001: width in mm, length in whole metres, core in mm, winding, splices; an exact length beside it goes first."""
    width, metres, core, winding, splices = groups
    wrong = [name for name, value in (("width", width), ("length", metres), ("core", core)) if int(value) == 0]
    if wrong:
        label = _problem(label, f"The roll's {', '.join(wrong)} on the label cannot be 0: measure it.")
    if winding not in WINDINGS:
        label = _problem(label, f"The label's winding, {winding}, means nothing: look how the roll is wound.")
    return replace(
        label,
        width_mm=label.width_mm or int(width) or None,
        length_mm=label.length_mm or int(metres) * MM_PER_M or None,
        core_mm=int(core) or None,
        winding=WINDINGS.get(winding, ""),
        splices=None if splices == "9" else int(splices),
    )


def _problem(label: SupplierLabel, sentence: str) -> SupplierLabel:
    return replace(label, problems=(*label.problems, sentence))
