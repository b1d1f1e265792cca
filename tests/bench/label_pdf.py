"""Time and size of 1,000 labels, drawn as this program draws them and as one picture a label.

    python tests/bench/label_pdf.py [--labels 1000]

The other way is the plain one: `qrcode` makes a picture of the code, reportlab places it, both as they come. The labels
are otherwise the same, words and all, so the ratio says what the way of drawing codes costs.
"""

import argparse
import sys
import time
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import qrcode
from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from labels.calc.label_content import RollLabel
from labels.calc.sheet_geometry import MEDIA, Medium, Slot, pages
from labels.drawing.items import Code
from labels.drawing.layout import lay_out
from labels.drawing.pdf import draw_label, labels_pdf
from labels.drawing.qr_matrix import matrix_of
from tests.labels.examples import roll_label

FASTER, SMALLER = 5.0, 10.0
RUNS = 3  # the quickest of each counts


def with_pictures(labels: list[RollLabel], medium: Medium) -> bytes:
    rl_config.useA85 = 1  # the library's own setting
    target = BytesIO()
    canvas = Canvas(target, pagesize=(medium.page_w * mm, medium.page_h * mm), bottomup=0, pageCompression=1)
    left = iter(labels)
    for sheet in pages(medium, len(labels)):
        for slot in sheet:
            draw_with_picture(canvas, next(left), slot, medium)
        canvas.showPage()
    canvas.save()
    rl_config.useA85 = 0
    return target.getvalue()


def draw_with_picture(canvas: Canvas, label: RollLabel, slot: Slot, medium: Medium) -> None:
    code = qrcode.QRCode(error_correction=qrcode.constants.ERROR_CORRECT_Q, border=0, box_size=10)
    code.add_data(label.payload)
    picture = ImageReader(code.make_image().get_image())
    drawing = lay_out(label, medium)  # its own code is in the cache by now and costs nothing here
    draw_label(canvas, replace(drawing, items=tuple(i for i in drawing.items if not isinstance(i, Code))), slot)
    for item in drawing.items:
        if isinstance(item, Code):
            side = len(code.modules) * item.module_mm
            canvas.drawImage(picture, (slot.x + item.x) * mm, (slot.y + item.y) * mm, side * mm, side * mm)


def timed(draw, labels: list[RollLabel], medium: Medium) -> tuple[float, float]:
    """Seconds of processor time, and megabytes."""
    start = time.process_time()
    content = draw(labels, medium)
    return time.process_time() - start, len(content) / 1e6


def ours(labels: list[RollLabel], medium: Medium) -> bytes:
    matrix_of.cache_clear()
    return labels_pdf(labels, medium)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--labels", type=int, default=1000)
    count = parser.parse_args().labels
    medium = MEDIA[0]
    labels = [roll_label(number, address="https://rolls.lan") for number in range(1, count + 1)]
    runs = [(timed(ours, labels, medium), timed(with_pictures, labels, medium)) for _ in range(RUNS)]
    (ours_s, ours_mb), (plain_s, plain_mb) = (min(way) for way in zip(*runs, strict=True))
    print(f"{count} labels on {medium.name}")
    print(f"{'':28}{'seconds':>10}{'MB':>10}")
    print(f"{'as this program draws them':28}{ours_s:10.2f}{ours_mb:10.2f}")
    print(f"{'one picture a label':28}{plain_s:10.2f}{plain_mb:10.2f}")
    faster, smaller = plain_s / ours_s, plain_mb / ours_mb
    print(f"{faster:.1f} times as fast, 1/{smaller:.1f} of the size")
    return 0 if faster >= FASTER and smaller >= SMALLER else 1


if __name__ == "__main__":
    raise SystemExit(main())
