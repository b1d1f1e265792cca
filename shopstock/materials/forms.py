from collections.abc import Sequence
from decimal import Decimal

from django import forms

from shopstock.calc import neighbours
from shopstock.calc.areal_weight import LayersDoNotAddUp
from shopstock.calc.forms import COMBINATION_MAT, NO_WEAVE, form_of
from shopstock.calc.layers import LayerError, LayerWeight, read_layers, turnings_to_choose, write_layers
from shopstock.calc.quantity import UnitError
from shopstock.calc.typed_weight import read_areal_weight
from shopstock.fields import LengthField
from shopstock.models import Place, PlaceRule, Reinforcement, Supplier

WOVEN = ("cloth", "woven_roving", "tape")
AS_THE_FABRIC_ALLOWS = ("", "as the layers allow")


class ReinforcementForm(forms.ModelForm):
    """A catalogue line. The weight is read in the unit typed and checked against what such a fabric can weigh."""

    areal_weight = forms.CharField(
        label="Areal weight",
        max_length=40,
        help_text="With its unit, from the data sheet: 450 g/m², 1.5 oz/ft² for mat, 12 oz/yd² for the rest.",
    )
    layers = forms.CharField(
        label="Strand direction: layers by angle",
        max_length=300,
        required=False,
        help_text="Weight @ angle from the warp, such as 300 @ 0, 300 @ 90 or 450 random. Empty: mat lies at random, "
        "cloth and woven roving half at 0° and half at 90°, unidirectional all at 0°.",
    )
    width_mm = LengthField(label="Width", default_unit="mm")
    roll_length_mm = LengthField(label="Length of a roll as sold", default_unit="m")
    minimum_mm = LengthField(
        label="Keep at least",
        default_unit="m",
        least=0,
        required=False,
        help_text="Below this much free, it is shown as low stock. A number alone is m.",
    )
    turning = forms.ChoiceField(
        label="May a piece be turned on the roll",
        required=False,
        choices=[AS_THE_FABRIC_ALLOWS, *Reinforcement.Turning.choices],
    )

    class Meta:
        model = Reinforcement
        fields = [
            "name",
            "form",
            "fibre",
            "weave",
            "areal_weight",
            "layers",
            "width_mm",
            "roll_length_mm",
            "turning",
            "drape",
            "binder",
            "fits_polyester",
            "fits_vinylester",
            "fits_epoxy",
            "supplier",
            "price_per_roll",
            "lead_time_days",
            "minimum_mm",
            "weight_tolerance_percent",
            "wound_thickness_mm",
            "offcut_length_mm",
            "offcut_side_mm",
            "offcut_area_cm2",
            "offcut_keep_days",
            "store_min_c",
            "store_max_c",
            "store_max_humidity",
            "out_life_h",
            "thaw_h",
            "notes",
            "active",
        ]

    field_order = Meta.fields

    def __init__(self, *args, currency: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["name"].help_text = "As it is called in the shop. The name is not the weight."
        self.fields["weave"].help_text = "How the yarns cross. None for mat, stitched and unidirectional."
        self.fields["drape"].label = "Drape"
        self.fields["drape"].help_text = "The shop’s own rating. Empty: what is usual for the form, weave and weight."
        self.fields["price_per_roll"].label = f"Price of a roll ({currency})"
        self.fields["lead_time_days"].help_text = "Days from order to door. Empty: the supplier’s."
        self.fields["fits_polyester"].label = "With polyester"
        self.fields["fits_vinylester"].label = "With vinyl ester"
        self.fields["fits_epoxy"].label = "With epoxy"
        self.fields["notes"].widget.attrs["rows"] = 3
        self.fields["weight_tolerance_percent"].required = False
        self.fields["weight_tolerance_percent"].help_text = "Empty: usual for the form, 5 or 10 %."
        self.fields["wound_thickness_mm"].help_text = "To tell a length from a diameter. Ten layers measured, over ten."
        for name in ("offcut_length_mm", "offcut_side_mm", "offcut_area_cm2", "offcut_keep_days"):
            self.fields[name].help_text = "Empty: the shop’s own rule."
        for name in ("store_min_c", "store_max_c", "store_max_humidity"):
            self.fields[name].help_text = "From its data sheet. Empty: what is usual for fabric."
        self.fields["out_life_h"].help_text = "Empty for dry fabric. For prepreg, from its data sheet."
        if self.instance.pk:
            self._fill_from_instance()
        else:
            self.initial.update(weight_tolerance_percent=None, turning="", minimum_mm=None)
            del self.fields["active"]

    def _fill_from_instance(self) -> None:
        self.initial["areal_weight"] = f"{self.instance.areal_weight_gsm.normalize():f} g/m²"
        self.initial["layers"] = write_layers(
            [LayerWeight(layer.angle_deg, layer.areal_weight_gsm) for layer in self.instance.layers.all()]
        )

    def clean_name(self) -> str:
        return one_of_a_kind(Reinforcement, self.cleaned_data["name"], "a fabric", besides=self.instance)

    def clean(self) -> dict:
        cleaned = super().clean()
        cleaned["minimum_mm"] = cleaned.get("minimum_mm") or 0
        if "form" in cleaned:
            self._clean_weave(cleaned)
            self._clean_weight(cleaned)
            if cleaned.get("weight_tolerance_percent") is None and "weight_tolerance_percent" not in self.errors:
                cleaned["weight_tolerance_percent"] = form_of(cleaned["form"]).weight_tolerance_percent
        return cleaned

    def _clean_weave(self, cleaned: dict) -> None:
        weave = cleaned.get("weave")
        if weave is None:
            return
        name = form_of(cleaned["form"]).name
        if cleaned["form"] in WOVEN and weave == NO_WEAVE:
            self.add_error("weave", f"A {name} is woven: say whether plain, twill, satin or basket.")
        if cleaned["form"] not in (*WOVEN, COMBINATION_MAT) and weave != NO_WEAVE:
            self.add_error("weave", f"{name.capitalize()} is not woven: choose none, or another form.")

    def _clean_weight(self, cleaned: dict) -> None:
        if "areal_weight" not in cleaned:
            return
        try:
            cleaned["areal_weight_gsm"] = read_areal_weight(cleaned["areal_weight"], cleaned["form"])
        except UnitError as error:
            self.add_error("areal_weight", str(error))
        else:
            self._clean_layers(cleaned)

    def _clean_layers(self, cleaned: dict) -> None:
        try:
            layers = read_layers(cleaned.get("layers", ""), cleaned["form"], cleaned["areal_weight_gsm"])
        except (LayerError, LayersDoNotAddUp, UnitError) as error:
            self.add_error("layers", str(error))
        else:
            cleaned["layer_weights"] = layers
            self._clean_turning(cleaned, layers)

    def _clean_turning(self, cleaned: dict, layers: Sequence[LayerWeight]) -> None:
        allowed = turnings_to_choose(layers)
        chosen = cleaned.get("turning") or allowed[-1]
        if chosen not in allowed:
            self.add_error(
                "turning",
                f"Turned, these layers ({write_layers(layers)}) would lie in other directions. "
                f"Choose: {Reinforcement.Turning(allowed[-1]).label}.",
            )
        cleaned["turning"] = chosen

    def _post_clean(self) -> None:
        super()._post_clean()
        if "areal_weight_gsm" in self.cleaned_data:
            self.instance.areal_weight_gsm = self.cleaned_data["areal_weight_gsm"]


def one_of_a_kind(model, name: str, what: str, *, besides) -> str:
    """A name that no other row has, capitals apart; two rows that differ by a capital are one thing twice."""
    if model.objects.filter(name__iexact=name).exclude(pk=besides.pk).exists():
        raise forms.ValidationError(f"There is already {what} called {name}. Open that one, or choose another name.")
    return name


class SupplierForm(forms.ModelForm):
    class Meta:
        model = Supplier
        fields = ["name", "lead_time_days", "length_tolerance_percent", "email", "notes"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["lead_time_days"].help_text = "Days from order to door."
        self.fields["length_tolerance_percent"].required = False
        self.fields["length_tolerance_percent"].help_text = "How far a length on a label may be off; 1 % is usual."
        self.fields["notes"].widget.attrs["rows"] = 3

    def clean_length_tolerance_percent(self) -> Decimal:
        given = self.cleaned_data["length_tolerance_percent"]
        return Supplier._meta.get_field("length_tolerance_percent").default if given is None else given

    def clean_name(self) -> str:
        return one_of_a_kind(Supplier, self.cleaned_data["name"], "a supplier", besides=self.instance)


class PlaceForm(forms.ModelForm):
    kept_for = forms.MultipleChoiceField(
        label="Only this may stand here",
        required=False,
        choices=list(neighbours.GROUPS.items()),
        widget=forms.CheckboxSelectMultiple,
        help_text="Nothing ticked: anything that no rule forbids.",
    )

    class Meta:
        model = Place
        fields = [
            "name",
            "kind",
            "is_workshop",
            "kept_for",
            "in_daylight",
            "on_wood",
            "under_drums",
            "near_sanding",
            "flammable_limit_l",
            "notes",
        ]

    field_order = Meta.fields

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["name"].help_text = "As it stands on the rack, such as Rack A1."
        self.fields["is_workshop"].help_text = "Its climate decides whether glass has rested and resin is mixed."
        self.fields["flammable_limit_l"].help_text = "Empty: the shop’s figure for a cabinet."
        self.fields["notes"].help_text = "What may be kept here, and what may not."
        self.fields["notes"].widget.attrs["rows"] = 3
        self.initial["kept_for"] = self.instance.may_keep.split()

    def clean_name(self) -> str:
        return one_of_a_kind(Place, self.cleaned_data["name"], "a place", besides=self.instance)

    def clean_flammable_limit_l(self) -> Decimal | None:
        limit = self.cleaned_data["flammable_limit_l"]
        if limit is not None and limit <= 0:
            raise forms.ValidationError("A limit is above zero. To keep flammables out, tick what may stand here.")
        return limit

    def clean(self) -> dict:
        cleaned = super().clean()
        self.instance.may_keep = " ".join(cleaned.get("kept_for") or [])
        return cleaned


class PlaceRuleForm(forms.ModelForm):
    """A rule of the shop's own; the trade's rules stay whatever it says."""

    subject = forms.ChoiceField(label="What", choices=list(neighbours.GROUPS.items()))
    beside = forms.ChoiceField(
        label="Must not stand",
        choices=[
            ("beside", [(key, f"beside {name}") for key, name in neighbours.GROUPS.items()]),
            ("where", list(neighbours.CONDITIONS.items())),
        ],
    )

    class Meta:
        model = PlaceRule
        fields = ["subject", "beside", "severity", "reason", "source"]

    def clean(self) -> dict:
        cleaned = super().clean()
        pair = {name: cleaned.get(name) for name in ("subject", "beside")}
        if pair["subject"] and pair["subject"] == pair["beside"]:
            self.add_error("beside", "A thing always stands beside its own kind: choose another.")
        elif all(pair.values()) and PlaceRule.objects.filter(**pair).exists():
            self.add_error("beside", "There is a rule for these two already. Remove it first.")
        return cleaned
