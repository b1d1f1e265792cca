from django import forms

from labels.media import offered


class KitForm(forms.Form):
    """On what the labels of the pieces are printed. Cleans to `row`, the medium."""

    medium = forms.ChoiceField(label="Sheet or label printer", help_text="The sizes stand on its box.")
    first = forms.IntegerField(
        label="First free label on the sheet", min_value=1, required=False, help_text="Empty: where the sheet ended."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.rows = {row.key: row for row in offered()}
        self.fields["medium"].choices = [(key, row.name) for key, row in self.rows.items()]

    def clean(self) -> dict:
        cleaned = super().clean()
        row = self.rows.get(cleaned.get("medium", ""))
        return {**cleaned, "row": row, "first": cleaned.get("first") or (row.first_free if row else 1)}
