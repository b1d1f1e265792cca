"""Makes the README's pictures of labels and of a cut ticket: `python tests/label_pictures.py` draws each kind."""

import io
import sys
from dataclasses import replace
from pathlib import Path

import pypdfium2

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from labels.calc.label_content import Label
from labels.calc.sheet_geometry import MEDIA, Medium, single
from labels.drawing.pdf import labels_pdf
from labels.drawing.ticket import tickets_pdf
from tests.labels.examples import (
    SHORT_ADDRESS,
    container_label,
    cut_ticket,
    kit_label,
    offcut_label,
    place_label,
    roll_label,
    twin_label,
)

FOLDER = Path(__file__).resolve().parents[1] / "fixtures" / "pictures"
DPI, TICKET_DPI = 300, 150
STICKER = single("63.5 x 38.1", 63.5, 38.1, dpi=300)
MIDDLE = next(medium for medium in MEDIA if (medium.label_w, medium.label_h) == (100, 50))

PICTURES: dict[str, tuple[Label, Medium]] = {
    "roll": (roll_label(place="Rack A2"), STICKER),
    "twin": (twin_label(), STICKER),
    "offcut": (replace(offcut_label(), place="Drawer 3"), STICKER),
    "place": (place_label(), STICKER),
    "kit": (kit_label(), STICKER),
    "container": (container_label(pictograms=("GHS02", "GHS07", "GHS08"), litres=1), MIDDLE),
}


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, (label, medium) in PICTURES.items():
        _save(f"label-{name}", labels_pdf([label], medium), DPI)
    _save("cut-ticket", tickets_pdf([cut_ticket()], address=SHORT_ADDRESS, units="metric"), TICKET_DPI)


def _save(name: str, pdf: bytes, dpi: int) -> None:
    page = pypdfium2.PdfDocument(io.BytesIO(pdf))[0]
    picture = page.render(scale=dpi / 72).to_pil().convert("P", palette=1, colors=8)
    picture.save(FOLDER / f"{name}.png", dpi=(dpi, dpi), optimize=True)


if __name__ == "__main__":
    main()
