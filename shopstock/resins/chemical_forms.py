import re
from decimal import Decimal

from django import forms

from shopstock.calc import neighbours
from shopstock.calc.dose import Band
from shopstock.calc.mix_ratio import RatioError, check_ratios
from shopstock.calc.sheet_lines import (
    PotLifeLine,
    SheetLineError,
    read_doses,
    read_pot_lives,
    write_doses,
    write_pot_lives,
)
from shopstock.calc.units import format_temperature, parse_temperature_c
from shopstock.fields import MassField, TypedField
from shopstock.models import Chemical, DataSheet

from .fields import DensityField

LONGEST_DAYS = 3650  # ten years
PICTOGRAM = re.compile(r"GHS0[1-9]")
LARGEST_SHEET = 10 * 1024 * 1024
KEPT_APART = (neighbours.PEROXIDE, neighbours.PROMOTER, neighbours.AMINE, neighbours.ACID, neighbours.ACETONE)

SECTIONS = (
    ("What it is", ("name", "kind", "density_liquid", "density_cured", "notes")),
    (
        "Dates and storage",
        (
            "open_life_days", "shelf_life_days", "life_at_c", "life_type", "extend_days", "gel_min_minutes",
            "gel_max_minutes", "store_min_c", "store_max_c",
        ),
    ),
    ("Mixing", ("doses", "pot_lives", "mixes_with", "parts_by_mass", "parts_by_volume")),
    (
        "Hazards, as the supplier’s safety data sheet states them",
        (
            "hazards", "pictograms", "un_number", "flammable_category", "kept_apart", "technical_sheet_url",
            "safety_sheet_url",
        ),
    ),
    ("Buying", ("supplier", "lead_time_days", "pack_g", "price_per_pack", "minimum_g")),
)  # fmt: skip


class TemperatureField(TypedField):
    """Cleans to °C with one decimal; °F is read too."""

    hint = "A number alone is °C; 77 °F is read too."

    def read(self, text: str) -> Decimal:
        return parse_temperature_c(text, "°C")

    def prepare_value(self, value):
        return format_temperature(value, "metric") if isinstance(value, Decimal) else value

    def has_changed(self, initial, data) -> bool:
        return super().has_changed(self.prepare_value(initial), data)


class ChemicalForm(forms.ModelForm):
    density_liquid = DensityField(label="Density, liquid")
    density_cured = DensityField(label="Density, cured", required=False)
    pack_g = MassField(label="Net mass of a pack as sold", required=False, help_text="Like 25 kg or 55 lb.")
    minimum_g = MassField(
        label="Keep at least",
        default_unit="kg",
        required=False,
        help_text="Below this much in date, it is shown as low stock. A number alone is kg. Empty: no minimum.",
    )
    technical_sheet_url = forms.URLField(
        label="Link to its technical data sheet", required=False, assume_scheme="https"
    )
    safety_sheet_url = forms.URLField(label="Link to its safety data sheet", required=False, assume_scheme="https")
    life_at_c = TemperatureField(label="The shelf life is stated for", required=False, initial=Decimal(25))
    store_min_c = TemperatureField(label="Store at least at", required=False)
    store_max_c = TemperatureField(label="Store at most at", required=False)
    doses = forms.CharField(
        label="Dose of catalyst by temperature",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One line for each range, like 15 to 20 °C: 1.5 to 2.5 %. Outside these, mixing is refused.",
    )
    pot_lives = forms.CharField(
        label="Pot life",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One line for each, like 18 min at 20 °C with 2 %, or 30 min at 25 °C.",
    )
    kept_apart = forms.MultipleChoiceField(
        label="Must be kept apart as",
        required=False,
        choices=[(key, neighbours.GROUPS[key]) for key in KEPT_APART],
        widget=forms.CheckboxSelectMultiple,
        help_text="What its kind does not say already, such as acetone for a solvent.",
    )

    class Meta:
        model = Chemical
        fields = [
            "name",
            "kind",
            "density_liquid",
            "density_cured",
            "open_life_days",
            "shelf_life_days",
            "life_at_c",
            "life_type",
            "extend_days",
            "gel_min_minutes",
            "gel_max_minutes",
            "store_min_c",
            "store_max_c",
            "mixes_with",
            "parts_by_mass",
            "parts_by_volume",
            "hazards",
            "pictograms",
            "un_number",
            "flammable_category",
            "technical_sheet_url",
            "safety_sheet_url",
            "supplier",
            "lead_time_days",
            "pack_g",
            "price_per_pack",
            "minimum_g",
            "notes",
        ]
        help_texts = {
            "open_life_days": "From the data sheet. Leave empty when opening does not shorten its life.",
            "shelf_life_days": "No more is ordered at once than is used within it.",
            "lead_time_days": "Leave empty to use the supplier’s.",
            "gel_min_minutes": "The window of the data sheet that a test must meet.",
            "mixes_with": "For a hardener: the resin it belongs to.",
            "parts_by_mass": "Hardener to 100 parts of resin, on the scale. Not the ratio by volume.",
            "parts_by_volume": "Hardener to 100 parts of resin, in the cup. Not the ratio by mass.",
            "hazards": "Classes and statements, like Flam. Liq. 3, H226, H315.",
            "pictograms": "Like GHS02 GHS07 GHS08. They are printed on its labels.",
            "un_number": "Like UN 1866, class 3, PG III.",
        }
        error_messages = {
            "name": {"unique": "There is already a product of that name. Open it, or choose another name."}
        }
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, currency: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["price_per_pack"].label = f"Price of a pack ({currency})"
        self.fields["supplier"].empty_label = "none yet"
        self.fields["mixes_with"].empty_label = "no resin: it is no hardener"
        self.fields["mixes_with"].queryset = Chemical.objects.filter(kind=Chemical.Kind.EPOXY)
        self.fields["flammable_category"].choices = [
            ("", "the sheet does not say: as usual for its kind"),
            *Chemical.Flammable.choices,
        ]
        for name in ("flammable_category", "extend_days", "life_type"):
            self.fields[name].required = False
        self.initial["minimum_g"] = self.instance.minimum_g or None
        if self.instance.pk:
            self._show_lines()

    def _show_lines(self) -> None:
        bands = [Band(b.from_c, b.below_c, b.min_percent, b.max_percent) for b in self.instance.dose_bands.all()]
        lives = [PotLifeLine(p.minutes, p.temperature_c, p.percent) for p in self.instance.pot_lives.all()]
        self.fields["doses"].initial = write_doses(bands)
        self.fields["pot_lives"].initial = write_pot_lives(lives)
        self.fields["kept_apart"].initial = self.instance.acts_as.split()

    @property
    def sections(self) -> list[tuple[str, list]]:
        return [(title, [self[name] for name in names]) for title, names in SECTIONS]

    def clean_life_at_c(self) -> Decimal:
        return self.cleaned_data["life_at_c"] or Decimal(25)

    def clean_life_type(self) -> str:
        return self.cleaned_data["life_type"] or Chemical.Life.ENDS

    def clean_extend_days(self) -> int:
        return self.cleaned_data["extend_days"] or 30

    def clean_minimum_g(self) -> int:
        return self.cleaned_data["minimum_g"] or 0

    def clean_doses(self) -> list[Band]:
        try:
            return read_doses(self.cleaned_data["doses"])
        except SheetLineError as error:
            raise forms.ValidationError(str(error)) from None

    def clean_pot_lives(self) -> list[PotLifeLine]:
        try:
            return read_pot_lives(self.cleaned_data["pot_lives"])
        except SheetLineError as error:
            raise forms.ValidationError(str(error)) from None

    def clean_pictograms(self) -> str:
        codes = self.cleaned_data["pictograms"].upper().replace(",", " ").split()
        wrong = [code for code in codes if not PICTOGRAM.fullmatch(code)]
        if wrong:
            raise forms.ValidationError(f"{wrong[0]} is no pictogram code. They go from GHS01 to GHS09.")
        return " ".join(sorted(set(codes)))

    def clean_price_per_pack(self):
        price = self.cleaned_data["price_per_pack"]
        if price is not None and price < 0:
            raise forms.ValidationError("A price cannot be below zero.")
        return price

    def clean(self) -> dict:
        values = super().clean()
        for name in ("open_life_days", "shelf_life_days", "lead_time_days", "extend_days"):
            if (values.get(name) or 0) > LONGEST_DAYS:
                self.add_error(name, f"More than {LONGEST_DAYS} days is no life or lead time. Write it in days.")
        if values.get("shelf_life_days") == 0:
            self.add_error("shelf_life_days", "Enter at least 1 day, or leave it empty.")
        self._in_order(values, "store_min_c", "store_max_c", "The highest temperature lies below the lowest.")
        self._in_order(values, "gel_min_minutes", "gel_max_minutes", "The longest gel time is below the shortest.")
        self._check_mixing(values)
        self.instance.acts_as = " ".join(values.get("kept_apart") or [])
        return values

    def _in_order(self, values: dict, least: str, most: str, words: str) -> None:
        if values.get(least) is not None and values.get(most) is not None and values[most] < values[least]:
            self.add_error(most, words)

    def _check_mixing(self, values: dict) -> None:
        resin, by_mass, by_volume = (values.get(n) for n in ("mixes_with", "parts_by_mass", "parts_by_volume"))
        if resin is None:
            if by_mass is not None or by_volume is not None:
                self.add_error("mixes_with", "Choose the resin that these parts go with.")
            return
        if values.get("kind") != Chemical.Kind.HARDENER:
            self.add_error("mixes_with", "Only a hardener is mixed in parts. A catalyst is dosed by its resin’s sheet.")
        elif by_mass is None:
            self.add_error("parts_by_mass", "The parts by mass are needed: mixes are weighed.")
        elif values.get("density_liquid"):
            try:
                check_ratios(by_mass, by_volume, resin.density_liquid, values["density_liquid"])
            except RatioError as error:
                self.add_error("parts_by_mass", str(error))


class SheetForm(forms.Form):
    """A PDF as the supplier sent it; told by its first bytes, not by its name."""

    kind = forms.ChoiceField(label="Which sheet", choices=DataSheet.Kind.choices)
    title = forms.CharField(label="Title", max_length=120, help_text="With its revision, such as: rev. 4, May 2026.")
    file = forms.FileField(
        label="The PDF", help_text="Up to 10 MB.", widget=forms.FileInput(attrs={"accept": "application/pdf"})
    )

    def clean_file(self) -> bytes:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_SHEET:
            raise forms.ValidationError("The file is larger than 10 MB. Ask for a smaller one, or give its link.")
        content = file.read()
        if not content.startswith(b"%PDF-"):
            raise forms.ValidationError("That file is no PDF. Save the sheet as PDF, or give its link instead.")
        return content
