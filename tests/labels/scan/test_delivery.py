"""A supplier's label fills the receiving form; an article number is asked about once."""

import io
from urllib.parse import parse_qs, urlsplit

import pytest
import zxingcpp
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from shopstock.models import Roll, SupplierArticle
from tests.factories import NOON, make_chemical, make_reinforcement

from .conftest import words

GTIN = "99521234567892"
ROLL = f"(01){GTIN}(8001)12700010007601(10)L2407A(21)R000123"
DRUM = f"(01){GTIN}(10)B77(11)260300(17)270131(3100)000025"


@pytest.fixture
def at_door(client, clerk):
    client.force_login(clerk)
    return client


@pytest.fixture
def cloth(db):
    return make_reinforcement("woven roving of the door", width_mm=1_270, roll_length_mm=100_000)


def read(client, text):
    return client.get(reverse("scan-delivery"), {"text": text})


def remember(client, text=ROLL, **meaning):
    return client.post(reverse("article-remember"), {"gtin": GTIN, "text": text} | meaning)


def start_of(address: str) -> dict[str, str]:
    return {name: values[0] for name, values in parse_qs(urlsplit(address).query).items()}


def test_unknown_article_is_asked_about_once_and_then_known(at_door, cloth):
    page = read(at_door, ROLL)
    assert page.context["article"] is None
    answer = remember(at_door, reinforcement=cloth.pk)
    page = at_door.get(answer.url)
    assert page.context["article"].reinforcement == cloth
    assert page.context["article_form"] is None


def test_label_of_a_roll_fills_the_receiving_form(at_door, cloth):
    remember(at_door, reinforcement=cloth.pk)
    address = read(at_door, ROLL).context["roll_address"]
    assert start_of(address) == {
        "reinforcement": str(cloth.pk),
        "lot": "L2407A",
        "width": "1270 mm",
        "length": "100000 mm",
        "splices_told": "1",
        "note": "serial R000123; core 76 mm inside; wound face out",
    }
    form = at_door.get(address).context["form"]
    assert [form[name].value() for name in ("reinforcement", "lot", "width", "length")] == [
        str(cloth.pk),
        "L2407A",
        "1270 mm",
        "100000 mm",
    ]


def test_form_filled_from_a_label_is_received_as_it_stands(at_door, cloth):
    remember(at_door, reinforcement=cloth.pk)
    form = at_door.get(read(at_door, ROLL).context["roll_address"]).context["form"]
    sent = {field.name: field.value() for field in form if field.value() is not None} | {"folded": "no"}
    at_door.post(reverse("receive"), sent | {"splices": "30"})
    roll = Roll.objects.get()
    assert (roll.reinforcement, roll.lot, roll.width_mm, roll.length_mm) == (cloth, "L2407A", 1_270, 100_000)
    [splice] = roll.faults.all()
    assert (splice.cause, splice.from_mm <= 70_000 <= splice.to_mm) == ("splice", True)


def test_splice_that_the_label_names_is_asked_for_before_the_roll_is_logged(at_door, cloth):
    remember(at_door, reinforcement=cloth.pk)
    form = at_door.get(read(at_door, ROLL).context["roll_address"]).context["form"]
    sent = {field.name: field.value() for field in form if field.value() is not None} | {"folded": "no"}
    page = at_door.post(reverse("receive"), sent)
    assert page.context["form"].errors == {
        "splices_looked": ["The label says 1 splice. Enter where each is flagged, or tick this."]
    }
    assert not Roll.objects.exists()
    at_door.post(reverse("receive"), sent | {"splices_looked": "on"})
    assert not Roll.objects.get().faults.exists()


def test_label_of_a_drum_fills_the_form_of_containers(at_door):
    resin = make_chemical(pack_g=25_000)
    remember(at_door, chemical=resin.pk)
    address = read(at_door, DRUM).context["container_address"]
    assert start_of(address) == {
        "chemical": str(resin.pk),
        "batch": "B77",
        "net": "25 kg",
        "label_date": "2027-01-31",
        "made_on": "2026-03",
    }
    assert at_door.get(address).context["form"]["batch"].value() == "B77"


def test_what_differs_from_the_catalogue_is_shown_and_not_changed(at_door, cloth):
    remember(at_door, reinforcement=cloth.pk)
    page = read(at_door, ROLL.replace("1270", "1000"))
    assert [(line.name, line.value, line.catalogue) for line in page.context["lines"] if line.catalogue] == [
        ("Width", "1000 mm", "1270 mm")
    ]
    cloth.refresh_from_db()
    assert cloth.width_mm == 1_270


def test_article_needs_one_meaning(at_door, cloth):
    resin = make_chemical()
    for meaning in ({}, {"reinforcement": cloth.pk, "chemical": resin.pk}):
        assert "one of the two" in words(remember(at_door, **meaning))
    assert not SupplierArticle.objects.exists()


def test_broken_label_says_what_to_do_and_keeps_the_text(at_door):
    page = read(at_door, f"(01){GTIN}(17)270230")
    assert "The field (17) of the label breaks the rules" in words(page)
    assert "(17)270230" in page.content.decode()


def test_hostile_text_is_shown_as_text(at_door):
    page = read(at_door, f"(01){GTIN}(10)<script>x").content.decode()
    assert "<script>x" not in page


def test_photo_of_the_code_is_read(at_door, cloth):
    code = zxingcpp.create_barcode(ROLL, zxingcpp.BarcodeFormat.QRCode, ec_level="Q", gs1=True)
    target = io.BytesIO()
    Image.fromarray(code.to_image(scale=6)).save(target, "PNG")
    answer = at_door.post(reverse("scan-delivery"), {"photo": SimpleUploadedFile("p.png", target.getvalue())})
    label = at_door.get(answer.url).context["label"]
    assert (label.gtin, label.lot, label.width_mm) == (GTIN, "L2407A", 1_270)


def test_photo_without_a_suppliers_code_says_so(at_door):
    target = io.BytesIO()
    Image.new("L", (300, 300), 200).save(target, "PNG")
    page = at_door.post(reverse("scan-delivery"), {"photo": SimpleUploadedFile("p.png", target.getvalue())})
    assert "No supplier’s code was found" in words(page)


@pytest.mark.parametrize(("person", "status"), [("clerk", 200), ("owner", 200), ("laminator", 403), ("outsider", 403)])
def test_deliveries_are_scanned_by_who_may_receive(client, request, cloth, person, status):
    client.force_login(request.getfixturevalue(person))
    assert read(client, ROLL).status_code == status
    assert remember(client, reinforcement=cloth.pk).status_code == (302 if status == 200 else 403)


def test_article_remembered_anew_changes_its_meaning(at_door, cloth, clerk):
    SupplierArticle.objects.create(gtin=GTIN, chemical=make_chemical(), by=clerk, at=NOON)
    remember(at_door, reinforcement=cloth.pk)
    article = SupplierArticle.objects.get()
    assert (article.reinforcement, article.chemical) == (cloth, None)
