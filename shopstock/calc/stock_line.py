"""One line of a stock file: the roll it describes and what it says of its fabric."""

import datetime
import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shopstock.calc.areal_weight import LayersDoNotAddUp
from shopstock.calc.forms import FORMS, NO_WEAVE
from shopstock.calc.layers import LayerError, LayerWeight, read_layers
from shopstock.calc.quantity import UnitError
from shopstock.calc.stock_cells import (
    FIBRE_WORDS,
    FORM_WORDS,
    WEAVE_WORDS,
    Cell,
    CellError,
    FaultCell,
    read_choice,
    read_count,
    read_faults,
    read_length,
    read_mass,
    read_price,
    read_width,
    text_of,
)
from shopstock.calc.stock_code import WrongCodeError, read_code
from shopstock.calc.stock_columns import BY_KEY, WHOLE_LINE, Headings, Problem
from shopstock.calc.typed_date import DateError, read_past_date
from shopstock.calc.units import parse_areal_weight_gsm

WOVEN_FORMS = ("cloth", "woven_roving", "tape")
SAME_WEIGHT_PERCENT = 3  # a named 450 and a data sheet's 457 are one fabric
LONGEST_TEXT = {"material": 100, "lot": 40, "supplier": 80, "place": 60, "condition_reason": 200}

NEEDED_TO_DEFINE = ("form", "fibre", "areal_weight", "sold_length")

_FIRST_DAY_OF_SPREADSHEETS = datetime.date(1899, 12, 30)
_WRONG = (CellError, DateError, LayerError, LayersDoNotAddUp, UnitError, WrongCodeError)


@dataclass(frozen=True)
class Material:
    """A fabric as the catalogue or the file defines it; areal weight in g/m², sizes of a new roll in mm."""

    name: str
    form: str
    fibre: str
    weave: str
    areal_weight_gsm: Decimal
    layers: tuple[LayerWeight, ...] = ()
    width_mm: int = 0
    roll_length_mm: int = 0


@dataclass(frozen=True)
class StockRow:
    """One line: a roll or offcut (or several alike), lengths in mm, masses in g."""

    line: int
    material: str
    width_mm: int
    length_mm: int
    kind: str = "roll"
    rolls: int = 1
    code: str = ""
    label_length_mm: int | None = None
    lot: str = ""
    supplier: str = ""
    place: str = ""
    lying: str = ""
    received: datetime.date | None = None
    price: Decimal | None = None
    gross_g: int | None = None
    tube_g: int | None = None
    quarantine_reason: str = ""
    faults: tuple[FaultCell, ...] = ()

    def fingerprint(self) -> str:
        """A hash of what the line says, whatever its place in the file, its capitals and its units."""
        parts = [
            *(text.casefold() for text in (self.material, self.lot, self.supplier, self.place)),
            *(self.width_mm, self.length_mm, self.kind, self.code, self.label_length_mm, self.lying, self.received),
            *(self.price, self.gross_g, self.tube_g, self.quarantine_reason, self.faults),
        ]
        return hashlib.sha256("\x1f".join(str(part) for part in parts).encode()).hexdigest()[:40]


@dataclass(frozen=True)
class Words:
    """Words for kind, how a roll lies, condition and cause of a fault, each to the key that is stored."""

    kinds: Mapping[str, str]
    lyings: Mapping[str, str]
    conditions: Mapping[str, str]
    causes: Mapping[str, str]


def material_key(name: str) -> str:
    """How names of fabrics are compared: capitals and spaces apart. Worked: "Mat  450" → "mat 450"."""
    return " ".join(name.split()).casefold()


class Line:
    """One line while it is read; collects its problems."""

    def __init__(self, headings: Headings, line: int, cells: Sequence[Cell], words: Words, on: datetime.date):
        self.headings, self.line, self.cells, self.words, self.on = headings, line, cells, words, on
        self.problems: list[Problem] = []
        self.material_key = material_key(self.text("material"))
        self._refuse_loose_cells()

    def _refuse_loose_cells(self) -> None:
        loose = [text_of(cell) for cell in self.cells[self.headings.width :] if text_of(cell)]
        if loose:
            self._problem(
                WHOLE_LINE,
                loose[0],
                f"There are more cells than headings ({self.headings.width}). A cell with the separator in it needs "
                "quotes; where commas are decimal, separate the columns by semicolons.",
            )

    def _problem(self, column: str, value: str, what_to_do: str) -> None:
        self.problems.append(Problem(self.line, column, value, what_to_do))

    def cell(self, key: str) -> Cell:
        heading = self.headings.by_key.get(key)
        return self.cells[heading.place] if heading and heading.place < len(self.cells) else None

    def text(self, key: str) -> str:
        return text_of(self.cell(key))

    def unit(self, key: str) -> str | None:
        place = self.headings.unit_places.get(key)
        in_column = text_of(self.cells[place]) if place is not None and place < len(self.cells) else ""
        return in_column or self.headings.by_key[key].unit

    def read(self, key: str, reader: Callable, *, default=None):
        """The value of a cell, `default` when it is empty, None with a problem noted when it is wrong."""
        text = self.text(key)
        if not text:
            return default
        try:
            return reader(text)
        except _WRONG as error:
            self._problem(BY_KEY[key].heading, text, str(error))
            return None

    def measure(self, key: str, reader: Callable[[str, str | None], int]) -> int | None:
        return self.read(key, lambda text: reader(text, self.unit(key)))

    def needed(self, key: str, value):
        if not self.text(key):
            self._problem(BY_KEY[key].heading, "", f"Empty. Enter the {BY_KEY[key].heading}.")
        return value

    def short_text(self, key: str) -> str:
        text = self.text(key)
        if len(text) > LONGEST_TEXT[key]:
            self._problem(
                BY_KEY[key].heading, text[:40] + "…", f"Longer than {LONGEST_TEXT[key]} characters. Shorten it."
            )
        return text

    def date(self, key: str) -> datetime.date | None:
        cell = self.cell(key)
        if isinstance(cell, int | float) and 20_000 <= cell <= 80_000:  # a date that lost its format in a spreadsheet
            cell = _FIRST_DAY_OF_SPREADSHEETS + datetime.timedelta(days=int(cell))
        if isinstance(cell, datetime.date):
            return self.read(key, lambda _: read_past_date(cell, self.on))
        return self.read(key, lambda text: read_past_date(text, self.on))

    def row(self) -> StockRow | None:
        row = StockRow(
            line=self.line,
            material=self.needed("material", self.short_text("material")),
            width_mm=self.needed("width", self.measure("width", read_width)),
            length_mm=self.needed("length", self.measure("length", read_length)),
            kind=self.read("kind", lambda text: read_choice(text, self.words.kinds, "kind"), default="roll"),
            rolls=self.read("rolls", read_count, default=1),
            code=self.read("code", read_code, default=""),
            label_length_mm=self.measure("label_length", read_length),
            lot=self.short_text("lot"),
            supplier=self.short_text("supplier"),
            place=self.short_text("place"),
            lying=self.read("lying", lambda text: read_choice(text, self.words.lyings, "way to lie"), default=""),
            received=self.date("received"),
            price=self.read("price", read_price),
            gross_g=self.measure("gross", read_mass),
            tube_g=self.measure("tube", read_mass),
            quarantine_reason=self._quarantine_reason(),
            faults=self.read("faults", lambda text: read_faults(text, self.words.causes), default=()),
        )
        if not self.problems:
            self._check_together(row)
        return row

    def _quarantine_reason(self) -> str:
        reason = self.short_text("condition_reason")
        condition = self.read("condition", lambda text: read_choice(text, self.words.conditions, "condition"))
        if condition == "quarantined" and not reason:
            self._problem("condition reason", "", "Say why the roll is quarantined.")
        return reason if condition == "quarantined" else ""

    def _check_together(self, row: StockRow) -> None:
        if row.gross_g and row.tube_g and row.gross_g <= row.tube_g:
            self._problem("gross weight", self.text("gross"), "A roll weighs more than its tube. Check both weights.")
        if row.code and row.rolls > 1:
            self._problem("rolls", self.text("rolls"), "One code is one roll. Give each roll its own line and code.")
        if row.label_length_mm and row.label_length_mm * 11 < row.length_mm * 10:
            self._problem(
                "length", self.text("length"), f"More than its label says ({self.text('label_length')}). Check both."
            )
        for fault in row.faults:
            if fault.to_free_mm > row.length_mm:
                self._problem("faults", self.text("faults"), "A fault lies past the end of the roll. Check its place.")

    @property
    def defines_a_material(self) -> bool:
        return all(self.text(key) for key in NEEDED_TO_DEFINE)

    def form_given(self) -> str | None:
        return FORM_WORDS.get(" ".join(self.text("form").replace("_", " ").lower().split()))

    def check_material(
        self, catalogue: Mapping[str, Material], new_materials: dict[str, Material], form: str | None
    ) -> None:
        """Compare what the line says of its fabric with the catalogue, or take it as the definition of a new one."""
        said = {
            "form": self.read("form", lambda text: read_choice(text, FORM_WORDS, "form")),
            "fibre": self.read("fibre", lambda text: read_choice(text, FIBRE_WORDS, "fibre")),
            "weave": self.read("weave", lambda text: read_choice(text, WEAVE_WORDS, "weave")),
            "areal_weight": self._areal_weight(form),
        }
        known = catalogue.get(self.material_key) or new_materials.get(self.material_key)
        if known is not None:
            self._compare(known, said)
        elif self.material_key and self.defines_a_material:
            self._define(new_materials, said)

    def _areal_weight(self, form: str | None) -> Decimal | None:
        if form is None or not self.text("areal_weight"):
            return None
        return self.read("areal_weight", lambda text: parse_areal_weight_gsm(self._with_unit(text), form))

    def _with_unit(self, text: str) -> str:
        unit = self.unit("areal_weight")
        return f"{text} {unit}" if unit and not any(character.isalpha() for character in text) else text

    def _compare(self, known: Material, said: dict) -> None:
        names = {"form": FORMS[known.form].name, "fibre": known.fibre.replace("_", "-"), "weave": known.weave}
        for key, name in names.items():
            if said[key] is not None and said[key] != getattr(known, key):
                self._problem(
                    BY_KEY[key].heading,
                    self.text(key),
                    f"{known.name} is {name}. Correct the {BY_KEY[key].heading} or the material, or leave it empty.",
                )
        weight = said["areal_weight"]
        if (
            weight is not None
            and abs(weight - known.areal_weight_gsm) * 100 > known.areal_weight_gsm * SAME_WEIGHT_PERCENT
        ):
            self._problem(
                "areal weight",
                self.text("areal_weight"),
                f"{known.name} weighs {known.areal_weight_gsm.normalize():f} g/m². Correct the weight or the material.",
            )

    def _define(self, new_materials: dict[str, Material], said: dict) -> None:
        sold_width = self.measure("sold_width", read_width) or self.measure("width", read_width)
        sold_length = self.measure("sold_length", read_length)
        if self.problems:
            return
        layers = self.read("layers", lambda text: read_layers(text, said["form"], said["areal_weight"]))
        if layers is None and not self.problems:
            layers = self._usual_layers(said)
        if not self.problems:
            usual_weave = "plain" if said["form"] in WOVEN_FORMS else NO_WEAVE
            new_materials[self.material_key] = Material(
                self.text("material"),
                said["form"],
                said["fibre"],
                said["weave"] or usual_weave,
                said["areal_weight"],
                layers,
                sold_width,
                sold_length,
            )

    def _usual_layers(self, said: dict) -> tuple[LayerWeight, ...]:
        try:
            return read_layers("", said["form"], said["areal_weight"])
        except LayerError as error:
            self._problem("layers", "", str(error))
            return ()
