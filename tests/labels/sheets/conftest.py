import io

import pypdfium2
import pytest
from django.urls import reverse

from tests.factories import make_roll
from tests.labels.reading import texts
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


@pytest.fixture
def at_desk(client, clerk):
    client.force_login(clerk)
    return client


@pytest.fixture
def rolls(clerk):
    return [make_roll(by=clerk, lot=f"L{number}") for number in range(3)]


def sheet(client, rolls=(), **query):
    return client.get(reverse("label-sheet"), {"code": [item.code for item in rolls], **query})


def pdf(client, rolls=(), **query):
    """The file, or the page that says why there is none."""
    answer = client.post(reverse("label-sheet-pdf"), {"code": [item.code for item in rolls], **query})
    return client.get(f"{answer.url}labels.pdf") if answer.status_code == 302 else answer


def read_pdf(answer) -> list[list[str]]:
    """For each page the texts of the codes on it, read by a decoder that shares nothing with the drawing."""
    assert answer["Content-Type"] == "application/pdf"
    document = pypdfium2.PdfDocument(io.BytesIO(answer.content))
    return [texts(page.render(scale=6).to_pil()) for page in document]
