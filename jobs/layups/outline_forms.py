from django import forms

from jobs.calc.outline import Outline, OutlineError
from jobs.calc.outline_reading import LARGEST_TEXT, outline_from_dxf, outline_from_svg, outline_from_svg_file


class OutlineForm(forms.Form):
    """The outline of a ply from a path that is pasted, or from a drawing."""

    drawing = forms.FileField(
        label="DXF or SVG drawing",
        required=False,
        help_text="One closed line, in millimetres, length of the ply to the right.",
        widget=forms.ClearableFileInput(attrs={"accept": ".dxf,.svg"}),
    )
    path = forms.CharField(
        label="Or an SVG path",
        required=False,
        max_length=LARGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
        help_text="Its data, numbers in mm: M0 0 H1200 L900 400 H0 Z",
    )

    wrong: OutlineError | None = None

    def clean(self) -> dict:
        cleaned = super().clean()
        drawing, path = cleaned.get("drawing"), cleaned.get("path")
        if not drawing and not path:
            self.add_error(None, "Choose a drawing, or paste a path.")
        elif not self.errors:
            cleaned["outline"] = self._read("drawing" if drawing else "path", drawing, path)
        return cleaned

    def _read(self, field: str, drawing, path: str) -> Outline | None:
        if drawing and drawing.size > LARGEST_TEXT:
            self.add_error(field, "The drawing is larger than 1 MB. Save only the outline.")
            return None
        try:
            return _drawn(drawing.read()) if drawing else outline_from_svg(path)
        except OutlineError as error:
            self.wrong = error
            self.add_error(field, str(error))
            return None


def _drawn(content: bytes) -> Outline:
    """By what the file holds, whatever it is called."""
    is_svg = content.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<")
    return outline_from_svg_file(content) if is_svg else outline_from_dxf(content)
