from django import forms

from jobs.calc.cutting import MOST_BLANKS
from jobs.models import Part, Ply
from shopstock.fields import LengthField
from shopstock.models import Reinforcement, Shop

LONGEST_MM = 200_000
MOST_PIECES = 500
MOST_PARTS = 500
LARGEST_FILE = 1_000_000


class PlyLengthField(LengthField):
    def clean(self, value):
        length_mm = super().clean(value)
        if length_mm is not None and length_mm > LONGEST_MM:
            raise forms.ValidationError(f"“{value}” is longer than 200 m. Check the number and its unit.")
        return length_mm


class PartForm(forms.Form):
    name = forms.CharField(max_length=60, help_text="One thing moulded: hull, deck, hatch.")
    count = forms.IntegerField(label="Made how many times", min_value=1, max_value=MOST_PARTS, initial=1)

    def __init__(self, *args, job, part: Part | None = None, **kwargs):
        initial = {"name": part.name, "count": part.count} if part else {}
        super().__init__(*args, initial=initial, **kwargs)
        self.others = job.parts.exclude(pk=part.pk if part else None)

    def clean_name(self) -> str:
        name = self.cleaned_data["name"]
        if self.others.filter(name__iexact=name).exists():
            raise forms.ValidationError(f"This job already has a part called {name}. Choose another name.")
        return name


class PlyForm(forms.Form):
    number = forms.IntegerField(
        label="Ply number", min_value=1, max_value=999, help_text="In the order of laying, from the mould."
    )
    reinforcement = forms.ModelChoiceField(Reinforcement.objects.filter(active=True), empty_label="choose")
    length = PlyLengthField(help_text="Along the ply’s own 0° line.")
    width = PlyLengthField()
    count = forms.IntegerField(
        label="Pieces a part",
        min_value=1,
        max_value=MOST_PIECES,
        initial=1,
        help_text=f"A job takes up to {MOST_BLANKS:,} pieces of one reinforcement.",
    )
    direction = forms.ChoiceField(
        choices=Ply.Direction, widget=forms.RadioSelect, initial=Ply.Direction.ALONG, label="Fibre direction"
    )
    may_turn = forms.BooleanField(
        label="May be turned on the roll where the cloth allows it", required=False, initial=True
    )
    may_seam = forms.BooleanField(label="May be seamed when wider than the roll", required=False, initial=True)
    overlap = LengthField(label="Lap of a seam", least=0, help_text="50 mm (2 in) or more between mats of one ply.")
    fibre_mass_fraction = forms.DecimalField(
        label="Fibre share by mass",
        required=False,
        min_value=0.1,
        max_value=0.8,
        max_digits=4,
        decimal_places=3,
        help_text="Such as 0.30 for mat by hand. Empty: the usual share of its form and process.",
    )

    def __init__(self, *args, part: Part, ply: Ply | None = None, **kwargs):
        shop = Shop.current()
        super().__init__(*args, initial=ply_values(ply) if ply else next_values(part, shop), **kwargs)
        self.others = part.plies.exclude(pk=ply.pk if ply else None)
        unit = "in" if shop.units == Shop.Units.US else "mm"
        for name in ("length", "width", "overlap"):
            self.fields[name].default_unit = unit
            hint = f"A number alone is {unit}."
            self.fields[name].help_text = f"{self.fields[name].help_text.removesuffix('.')}. {hint}".lstrip(". ")
        if ply:
            self.fields["reinforcement"].queryset |= Reinforcement.objects.filter(pk=ply.reinforcement_id)

    def clean_number(self) -> int:
        number = self.cleaned_data["number"]
        if self.others.filter(number=number).exists():
            raise forms.ValidationError(f"There is already a ply {number} in this part. Take the next free number.")
        return number

    def clean(self) -> dict:
        cleaned = super().clean()
        cleaned["overlap"] = cleaned.get("overlap") or 0
        return cleaned

    def values(self) -> dict:
        """Cleaned values under the names of the ply's own fields."""
        cleaned = dict(self.cleaned_data)
        for name in ("length", "width", "overlap"):
            cleaned[f"{name}_mm"] = cleaned.pop(name)
        return cleaned


def ply_values(ply: Ply) -> dict:
    return {
        "number": ply.number,
        "reinforcement": ply.reinforcement_id,
        "length": ply.length_mm,
        "width": ply.width_mm,
        "count": ply.count,
        "direction": ply.direction,
        "may_turn": ply.may_turn,
        "may_seam": ply.may_seam,
        "overlap": ply.overlap_mm,
        "fibre_mass_fraction": ply.fibre_mass_fraction,
    }


def next_values(part: Part, shop: Shop) -> dict:
    """A further ply starts as the one before it: most plies of a part are alike in size."""
    last = part.plies.order_by("number").last()
    if last is None:
        return {"number": 1, "overlap": shop.overlap_mm}
    return ply_values(last) | {"number": last.number + 1, "fibre_mass_fraction": None}


class PlyFileForm(forms.Form):
    file = forms.FileField(label="CSV file", required=False)
    text = forms.CharField(
        label="Or paste the lines here", required=False, widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"})
    )
    replace = forms.BooleanField(label="Take out the parts this job has now", required=False)

    def clean(self) -> dict:
        cleaned = super().clean()
        file, text = cleaned.get("file"), cleaned.get("text")
        if file and file.size > LARGEST_FILE:
            self.add_error("file", "The file is larger than 1 MB. Save only the sheet with the plies as CSV.")
        elif not file and not text:
            self.add_error(None, "Choose a file, or paste its lines, with the headings in the first line.")
        elif not self.errors:
            cleaned["content"] = file.read() if file else text.encode()
        return cleaned
