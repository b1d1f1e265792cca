"""What is copied from a data sheet: doses, pot lives, ratios, hazards, and the sheet itself."""

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shopstock.models import Chemical, DataSheet
from tests.factories import make_chemical


@pytest.fixture
def page(client, clerk):
    client.force_login(clerk)
    return client


PRODUCT = {"name": "Resin", "kind": "polyester", "density_liquid": "1.1"}


def add(page, **fields):
    return page.post(reverse("chemical-add"), PRODUCT | fields, follow=True)


def errors(answer) -> dict:
    return {name: texts[0] for name, texts in answer.context["form"].errors.items()}


def test_doses_and_pot_lives_are_kept_and_shown_again_as_they_were_typed(page):
    add(page, doses="15 to 20 °C: 1.5 to 2.5 %\n68 to 77 °F: 1 %", pot_lives="18 min at 20 °C with 2 %")
    made = Chemical.objects.get()
    assert [str(band) for band in made.dose_bands.all()] == [
        "15.0 to below 20.0 °C: 1.50 to 2.50 %",
        "20.0 to below 25.0 °C: 1.00 to 1.00 %",
    ]
    assert [str(line) for line in made.pot_lives.all()] == ["18.0 min at 20.0 °C with 2.00 %"]
    form = page.get(reverse("chemical-edit", args=[made.pk])).context["form"]
    assert form["doses"].value() == "15 to 20 °C: 1.5 to 2.5 %\n20 to 25 °C: 1 to 1 %"
    assert form["pot_lives"].value() == "18 min at 20 °C with 2 %"


def test_saving_again_replaces_the_lines(page):
    add(page, doses="15 to 20 °C: 1.5 to 2.5 %")
    made = Chemical.objects.get()
    page.post(reverse("chemical-edit", args=[made.pk]), PRODUCT)
    assert made.dose_bands.count() == 0


@pytest.mark.parametrize(
    ("fields", "name", "words"),
    [
        ({"doses": "two per cent"}, "doses", "cannot be read. Write one line for each, like 15 to 20 °C"),
        ({"doses": "20 to 15 °C: 2 %"}, "doses", "lower temperature first"),
        ({"doses": "15 to 20 °C: 3 to 2 %"}, "doses", "from less to more"),
        ({"doses": "15 to 20 °C: 1 to 25 %"}, "doses", "up to 10 %"),
        ({"doses": "15 to 20 °C: 2 %\n18 to 25 °C: 1 %"}, "doses", "overlap at 18 °C"),
        ({"pot_lives": "a while"}, "pot_lives", "like 18 min at 20 °C"),
        ({"pot_lives": "18 min at 20 °C\n9 min at 25 °C with 2 %"}, "pot_lives", "in all or in none"),
        ({"pot_lives": "18 min at 20 °C\n19 min at 20 °C"}, "pot_lives", "the same temperature and dose"),
        ({"pot_lives": "0 min at 20 °C"}, "pot_lives", "minutes above 0"),
        ({"pictograms": "GHS02 FLAME"}, "pictograms", "FLAME is no pictogram code"),
        ({"store_min_c": "20", "store_max_c": "15"}, "store_max_c", "below the lowest"),
        ({"store_max_c": "warm"}, "store_max_c", "not a number"),
        ({"gel_min_minutes": "20", "gel_max_minutes": "10"}, "gel_max_minutes", "below the shortest"),
        ({"density_liquid": "115"}, "density_liquid", "1.15 kg/L"),
        ({"parts_by_mass": "30"}, "mixes_with", "Choose the resin"),
    ],
)
def test_figure_that_cannot_be_is_refused_beside_its_field(page, fields, name, words):
    found = errors(add(page, **fields))
    assert list(found) == [name]
    assert words in found[name]
    assert Chemical.objects.count() == 0


@pytest.fixture
def epoxy(db):
    return make_chemical("Epoxy", kind="epoxy", density_liquid=Decimal("1.15"))


def hardener(page, epoxy, **fields):
    values = {"name": "Hardener", "kind": "hardener", "density_liquid": "0.95", "mixes_with": epoxy.pk}
    return add(page, **(values | {"parts_by_mass": "30", "parts_by_volume": "36.3"} | fields))


def test_both_ratios_are_kept_apart(page, epoxy):
    hardener(page, epoxy)
    made = Chemical.objects.get(name="Hardener")
    assert (made.parts_by_mass, made.parts_by_volume, made.mixes_with) == (Decimal("30"), Decimal("36.30"), epoxy)


@pytest.mark.parametrize(
    ("fields", "name", "words"),
    [
        ({"parts_by_mass": "36.3", "parts_by_volume": "30"}, "parts_by_mass", "look swapped"),
        ({"parts_by_volume": "30"}, "parts_by_mass", "The same figure stands by mass and by volume"),
        ({"parts_by_volume": "60"}, "parts_by_mass", "do not go together"),
        ({"parts_by_mass": ""}, "parts_by_mass", "mixes are weighed"),
        ({"kind": "peroxide"}, "mixes_with", "Only a hardener is mixed in parts"),
    ],
)
def test_ratios_that_cannot_both_be_right_are_questioned(page, epoxy, fields, name, words):
    found = errors(hardener(page, epoxy, **fields))
    assert list(found) == [name]
    assert words in found[name]


def test_hazards_are_kept_as_the_sheet_states_them(page):
    add(page, hazards="Flam. Liq. 3, H226", pictograms="ghs08, ghs02", kept_apart=["acid"], flammable_category="3")
    made = Chemical.objects.get()
    assert (made.pictogram_codes, made.acts_as, made.flammable_category) == (("GHS02", "GHS08"), "acid", 3)
    assert "GHS02" in page.get(made.get_absolute_url()).content.decode()


def sheet(page, chemical, content=b"%PDF-1.7 ...", name="tds.pdf"):
    entry = {"kind": "technical", "title": "TDS rev. 4", "file": SimpleUploadedFile(name, content)}
    return page.post(reverse("chemical-sheet-add", args=[chemical.pk]), entry, follow=True)


def test_data_sheet_kept_is_given_back_as_a_file_to_save(page):
    chemical = make_chemical()
    assert "TDS rev. 4" in sheet(page, chemical).content.decode()
    answer = page.get(reverse("chemical-sheet", args=[DataSheet.objects.get().pk]))
    assert b"".join(answer.streaming_content) == b"%PDF-1.7 ..."
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"].startswith("attachment")
    page.post(reverse("chemical-sheet-remove", args=[DataSheet.objects.get().pk]))
    assert DataSheet.objects.count() == 0


@pytest.mark.parametrize("content", [b"<html><script>alert(1)</script>", b"MZ\x90", b" %PDF-1.7"])
def test_file_that_is_no_pdf_whatever_its_name_is_refused(page, content):
    assert "That file is no PDF" in sheet(page, make_chemical(), content).content.decode()
    assert DataSheet.objects.count() == 0


def test_file_that_is_too_large_is_refused(page, monkeypatch):
    monkeypatch.setattr("shopstock.resins.chemical_forms.LARGEST_SHEET", 10)
    assert "larger than 10 MB" in sheet(page, make_chemical()).content.decode()
