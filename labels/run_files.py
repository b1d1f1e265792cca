"""The PDFs of print runs: drawn beside the page when there are many labels, and kept for a while."""

import json
import threading
from collections.abc import Sequence
from pathlib import Path
from time import time

from django.conf import settings
from django.http import HttpResponse

from labels.calc.label_content import Label
from labels.calc.sheet_geometry import Medium
from labels.drawing.pdf import labels_pdf

AT_ONCE = 150  # labels that are drawn before anybody would look for a sign of progress
KEPT_SECONDS = 14 * 24 * 3600
STALLED_SECONDS = 60  # a page takes well under one: whoever was drawing is gone


def pdf_of(number: int) -> Path:
    return _folder() / f"run-{number}.pdf"


def pdf_file(content: bytes, file_name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'attachment; filename="{file_name}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)


def start_drawing(number: int, labels: Sequence[Label], sheet: Medium, first: int) -> None:
    """Draw now, or in a thread that tells how far it is."""
    _forget_old()
    if len(labels) <= AT_ONCE:
        _draw(number, labels, sheet, first)
    else:
        threading.Thread(target=_draw, args=(number, labels, sheet, first), name=f"labels-{number}").start()


def drawn(number: int) -> int | None:
    """How many labels are drawn so far; None when nothing is being drawn."""
    try:
        if _progress_of(number).stat().st_mtime < time() - STALLED_SECONDS:
            return None
        return json.loads(_progress_of(number).read_text())["drawn"]
    except (OSError, ValueError, KeyError):
        return None


def _draw(number: int, labels: Sequence[Label], sheet: Medium, first: int) -> None:
    def tell(done: int) -> None:
        _write(_progress_of(number), json.dumps({"drawn": done}).encode())

    tell(0)
    try:
        _write(pdf_of(number), labels_pdf(labels, sheet, first, progress=tell))
    finally:
        _progress_of(number).unlink(missing_ok=True)


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all: another process may be reading."""
    beside = path.with_name(f".{path.name}")
    beside.write_bytes(content)
    beside.replace(path)


def _progress_of(number: int) -> Path:
    return _folder() / f"run-{number}.json"


def _folder() -> Path:
    folder = Path(settings.DATA_DIR) / "labels"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _forget_old() -> None:
    for path in _folder().glob("run-*"):
        if path.stat().st_mtime < time() - KEPT_SECONDS:
            path.unlink(missing_ok=True)
