from django import forms

from labels.media import offered


class KitForm(forms.Form):
    """On what the labels of the pieces are printed. Cleans to `row`, the medium."""

    medium = forms.ChoiceField(label="Sheet or label printer", required=False)
    first = forms.IntegerField(label="First free label on the sheet", min_value=1, required=False)

    def __init__(self, data):
        self.rows = {row.key: row for row in offered()}
        chosen = self.rows.get(data.get("medium", ""), next(iter(self.rows.values())))
        super().__init__({"medium": data.get("medium") or chosen.key, "first": data.get("first") or chosen.first_free})
        self.fields["medium"].choices = [(key, row.name) for key, row in self.rows.items()]

    def clean(self) -> dict:
        cleaned = super().clean()
        return {**cleaned, "row": self.rows.get(cleaned.get("medium", ""))}
