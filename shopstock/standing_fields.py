"""A form that puts something somewhere: what a rule forbids is refused, what it warns of is asked about once."""

from copy import copy

from django import forms

from shopstock.ledger.standing import breaches_at, sentences
from shopstock.models import Container, Place, Roll


class PlaceAsked(forms.Form):
    """For forms with a `place`: their `clean` calls `ask_about_place`, and the ledger keeps `note_of_place`."""

    knows = forms.CharField(
        label="Why it may stand there all the same", max_length=120, required=False, widget=forms.HiddenInput
    )

    @property
    def asks_why(self) -> bool:
        return not self.fields["knows"].widget.is_hidden

    def ask_about_place(self, item: Roll | Container, **changed) -> None:
        """Compare the item, changed as the form would change it, with the place and with what stands there."""
        values, item = self.cleaned_data, copy(item)
        for name, value in changed.items():
            setattr(item, name, value)
        place: Place | None = values.get("place")
        found = breaches_at(item, place) if place else []
        refused = [breach for breach in found if breach.is_refused]
        values["note_of_place"] = ""
        if refused:
            self._wrong(f"{' '.join(sentences(refused))} Choose another place.")
        elif found:
            self.fields["knows"].widget = forms.TextInput(attrs={"maxlength": 120})
            if values.get("knows"):
                values["note_of_place"] = (
                    f"although {'; '.join(dict.fromkeys(b.words for b in found))}: {values['knows']}"
                )
            else:
                self._wrong(f"{' '.join(sentences(found))} Choose another place, or say why it may.")

    def _wrong(self, words: str) -> None:
        self.add_error("place", words)
