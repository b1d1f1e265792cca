from django import forms

from shopstock.calc.roll_diameter import outer_layers_mm
from shopstock.calc.stock_code import check_code, normalise_code
from shopstock.calc.wound_length import WoundLengthError
from shopstock.fields import LengthField, MassField
from shopstock.ledger import FoldDecision
from shopstock.models import Fault, Place, Roll
from shopstock.queries import faults_on
from shopstock.reading_form import ThicknessField
from shopstock.roll_entry import RollForm


class SplitForm(RollForm):
    bare_units = {"length": "length", "tube": "mass"}

    length = LengthField(
        label="Length wound onto the second tube", help_text="Measured as it is wound over, from the free end."
    )
    tube = MassField(label="Weight of the second tube, bare", required=False)
    place = forms.ModelChoiceField(
        Place.objects.all(), label="Where the new roll goes", required=False, empty_label="where this roll is"
    )


class JoinForm(RollForm):
    other = forms.CharField(
        label="Code of the roll that is wound on",
        max_length=60,
        help_text="Scan or type it. All of it goes onto this roll; where they meet becomes a splice.",
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off"}),
    )

    def clean_other(self) -> Roll:
        text = self.cleaned_data["other"].strip().rstrip("/").rpartition("/")[2]
        if not check_code(text):
            raise forms.ValidationError(f"“{text}” is not a code of this shop. Scan the label of the other roll.")
        found = Roll.objects.filter(code=normalise_code(text)).first()
        if found is None:
            raise forms.ValidationError(f"No roll here has the code {normalise_code(text)}. Look at its label again.")
        return found


class ReturnForm(RollForm):
    reason = forms.CharField(label="Why it goes back", max_length=200, help_text="What the delivery paper will say.")


class LayersForm(RollForm):
    """A length, or how many layers of how thick a roll: one of the two."""

    bare_units = {"length": "length", "outer": "width"}

    why = forms.ChoiceField(
        label="What was on them",
        choices=[
            ("", "Choose"),
            ("dust", "dust of grinding"),
            ("water", "water"),
            ("spray", "wax or spray"),
            ("sun", "sun"),
        ],
    )
    length = LengthField(label="Length stripped", required=False)
    layers = forms.IntegerField(label="or layers stripped", min_value=1, max_value=200, required=False)
    outer = LengthField(label="Outside of the roll before, straight across", required=False)
    thickness = ThicknessField(label="Thickness of one layer", required=False, max_length=40, help_text="Bare: mm.")

    def __init__(self, *args, roll: Roll, **kwargs):
        known = roll.reinforcement.wound_thickness_mm
        initial = {"thickness": f"{known.normalize():f} mm"} if known else {}
        super().__init__(*args, roll=roll, initial=initial, **kwargs)

    def clean(self) -> dict:
        data = super().clean()
        if self.errors or data["length"]:
            return data
        if not data["layers"]:
            self.add_error("length", "Say how long the stripped piece is, or how many layers it was.")
            return data
        missing = [name for name in ("outer", "thickness") if not data[name]]
        for name in missing:
            self.add_error(name, "From layers to a length this is needed too.")
        if not missing:
            self._from_layers(data)
        return data

    def _from_layers(self, data: dict) -> None:
        try:
            data["length"] = round(outer_layers_mm(data["outer"], data["layers"], data["thickness"]))
        except WoundLengthError as error:
            self.add_error("layers", str(error))


class FoldForm(RollForm):
    decision = forms.ChoiceField(label="What is done with it", widget=forms.RadioSelect)
    lying = forms.ChoiceField(label="How it lies now", choices=Roll.Lying.choices)
    note = forms.CharField(label="Note", max_length=150, required=False)

    def __init__(self, *args, roll: Roll, **kwargs):
        super().__init__(*args, roll=roll, initial={"lying": Roll.Lying.CORE}, **kwargs)
        is_downgraded = roll.grade == Roll.Grade.NON_STRUCTURAL
        offered = [choice for choice in FoldDecision if is_downgraded or choice != FoldDecision.RESTORED]
        self.fields["decision"].choices = [(choice.value, choice.label.capitalize()) for choice in offered]

    def clean(self) -> dict:
        """Unrolled cloth shows where it was folded; that none of it is to be kept clear of is said in words."""
        data = super().clean()
        if data.get("decision") == FoldDecision.UNROLLED and not data.get("note") and not self._is_marked():
            self.add_error("note", "No crease is marked on it yet. Report each as a fault, or say why there is none.")
        return data

    def _is_marked(self) -> bool:
        return faults_on(self.roll).filter(cause__in=[Fault.Cause.FOLD, Fault.Cause.CREASE]).exists()


class BinForm(RollForm):
    note = forms.CharField(label="Note", max_length=150, required=False)
