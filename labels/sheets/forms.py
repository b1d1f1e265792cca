from django import forms
from django.http import QueryDict

from labels.calc.sheet_geometry import Medium, SlotError, medium_problems, slots
from labels.media import key_of, offered
from labels.models import PrintMedium

MOST_LABELS = 1000
STARTS = {"copies": 1}


class SheetForm(forms.Form):
    """On what labels are printed and from where on. Cleans to `row`, the medium, and `sheet`, its measures."""

    medium = forms.ChoiceField(label="Sheet or label printer", help_text="The sizes stand on its box.")
    first = forms.IntegerField(
        label="First free label on the sheet", min_value=1, help_text="Counted along the rows; or tap it below."
    )
    copies = forms.IntegerField(label="Copies of each", min_value=1, max_value=9)
    twins = forms.BooleanField(label="And a twin of each roll’s label for inside its tube", required=False)
    plain = forms.BooleanField(
        label="Without hazard pictograms: the maker’s own label is on the container", required=False
    )

    def __init__(self, data: QueryDict | dict):
        self.rows = {row.key: row for row in offered()}
        given = {name: value for name, value in data.items() if value != ""}
        chosen = self.rows.get(given.get("medium", ""), next(iter(self.rows.values())))
        super().__init__({**STARTS, "medium": chosen.key, "first": chosen.first_free, **given})
        self.fields["medium"].choices = [(key, row.name) for key, row in self.rows.items()]

    def clean(self) -> dict:
        cleaned = super().clean()
        row = self.rows.get(cleaned.get("medium", ""))
        if row is None:
            return cleaned
        sheet = row.medium
        for problem in medium_problems(sheet):
            self.add_error(None, problem)
        if "first" in cleaned and not self.errors:
            self._check_first(sheet, cleaned["first"])
        return {**cleaned, "row": row, "sheet": sheet}

    def _check_first(self, sheet: Medium, first: int) -> None:
        try:
            slots(sheet, first)
        except SlotError as error:
            self.add_error("first", str(error))

    def as_query(self, *, without: tuple[str, ...] = ()) -> dict[str, str]:
        """What an address needs to mean the same sheet again."""
        names = ("medium", "first", "copies", "twins", "plain")
        return {name: self.data[name] for name in names if name not in without and self.data.get(name)}


class MediumForm(forms.ModelForm):
    """The measures of a sheet of labels, taken with a ruler."""

    class Meta:
        model = PrintMedium
        fields = ["name", *PrintMedium.MEASURES, "first_free", "in_use"]
        help_texts = {
            "name": "For yourself: its sizes, or where it lies.",
            "pitch_x": "Needed for more than one column.",
            "pitch_y": "Needed for more than one row.",
            "dpi": "Office printer 600, label printer 203 or 300.",
            "offset_x": "Print the trial page to see. Minus is left.",
            "offset_y": "Minus is up.",
        }

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if not key_of(name):
            raise forms.ValidationError("Give it a name with letters or digits.")
        others = PrintMedium.objects.exclude(pk=self.instance.pk)
        if others.filter(key=self.instance.key or key_of(name)).exists() or others.filter(name__iexact=name).exists():
            raise forms.ValidationError(f"There is a sheet called {name} already. Change that one, or choose a name.")
        return name

    def clean(self) -> dict:
        cleaned = super().clean()
        if self.errors:
            return cleaned
        medium = Medium(cleaned["name"], **{name: cleaned[name] for name in PrintMedium.MEASURES})
        for problem in medium_problems(medium):
            self.add_error(None, problem)
        if cleaned["first_free"] > medium.labels_a_page or cleaned["first_free"] < 1:
            self.add_error("first_free", f"The sheet has labels 1 to {medium.labels_a_page}.")
        return cleaned

    def save(self, commit: bool = True) -> PrintMedium:
        self.instance.key = self.instance.key or key_of(self.cleaned_data["name"])
        return super().save(commit)
