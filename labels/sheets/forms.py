from dataclasses import replace

from django import forms
from django.http import QueryDict

from labels.calc.sheet_geometry import MEDIA, Medium, SlotError, medium_problems, slots

from .media import CHOICES, FIRST_SHEET, OWN, STANDARD

MOST_LABELS = 500

MEASURES = {
    "page_w": "Page width (mm)",
    "page_h": "Page height (mm)",
    "label_w": "Label width (mm)",
    "label_h": "Label height (mm)",
    "left": "From the page’s left edge to the first label (mm)",
    "top": "From the page’s top edge to the first label (mm)",
    "pitch_x": "From one label’s left edge to the next one’s (mm)",
    "pitch_y": "From one label’s top edge to the next one’s (mm)",
}
COUNTS = {"cols": "Labels side by side", "rows": "Labels one below the other"}
DEFAULTS = {"medium": FIRST_SHEET, "first": 1, "copies": 1, "dpi": 600, "offset_x": 0, "offset_y": 0}


class SheetForm(forms.Form):
    """How the labels lie on paper. Cleans to `sheet`, a Medium; what is not given is as usual."""

    medium = forms.ChoiceField(label="Sheet or label printer", choices=CHOICES, help_text="The sizes stand on its box.")
    first = forms.IntegerField(
        label="First free label on the sheet", min_value=1, help_text="Counted along the rows; or tap it below."
    )
    copies = forms.IntegerField(
        label="Copies of each", min_value=1, max_value=9, help_text="A second one inside the core outlives the wrap."
    )
    offset_x = forms.FloatField(
        label="Print farther right by (mm)",
        min_value=-5,
        max_value=5,
        help_text="If the printer is off. Minus is left.",
    )
    offset_y = forms.FloatField(label="Print farther down by (mm)", min_value=-5, max_value=5, help_text="Minus is up.")
    dpi = forms.IntegerField(
        label="Dots an inch of the printer",
        min_value=150,
        max_value=2400,
        help_text="Office printer 600, label printer 203.",
    )

    def __init__(self, data: QueryDict | dict):
        given = {name: value for name, value in data.items() if value != ""}
        super().__init__({**DEFAULTS, **_measures_of(MEDIA[0]), **given})
        for name, label in MEASURES.items():
            self.fields[name] = forms.FloatField(label=label, min_value=0, max_value=2000)
        for name, label in COUNTS.items():
            self.fields[name] = forms.IntegerField(label=label, min_value=1, max_value=50)

    def clean(self) -> dict:
        cleaned = super().clean()
        if self.errors:
            return cleaned
        sheet = self._own_sheet(cleaned) if cleaned["medium"] == OWN else self._standard_sheet(cleaned)
        for problem in medium_problems(sheet):
            self.add_error(None, problem)
        if not self.errors:
            self._check_first(sheet, cleaned["first"])
        return {**cleaned, "sheet": sheet}

    def _check_first(self, sheet: Medium, first: int) -> None:
        try:
            slots(sheet, first)
        except SlotError as error:
            self.add_error("first", str(error))

    def _own_sheet(self, cleaned: dict) -> Medium:
        sizes = {name: cleaned[name] for name in (*MEASURES, *COUNTS, "dpi", "offset_x", "offset_y")}
        return Medium(f"own sheet, {sizes['cols']} x {sizes['rows']} labels", **sizes)

    def _standard_sheet(self, cleaned: dict) -> Medium:
        shift = {"offset_x": cleaned["offset_x"], "offset_y": cleaned["offset_y"]}
        return replace(STANDARD[cleaned["medium"]], **shift)

    def as_query(self, *, without: tuple[str, ...] = ()) -> dict[str, str]:
        """What an address needs to mean the same sheet again."""
        names = ("medium", "first", "copies", "dpi", "offset_x", "offset_y")
        names += (*MEASURES, *COUNTS) if self.shows_own else ()
        return {name: self.data[name] for name in names if name not in without}

    @property
    def own_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in (*MEASURES, *COUNTS, "dpi")]

    @property
    def shows_own(self) -> bool:
        return self.data.get("medium") == OWN


def _measures_of(medium: Medium) -> dict:
    return {name: getattr(medium, name) for name in (*MEASURES, *COUNTS)}
