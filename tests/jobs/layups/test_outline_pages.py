"""Giving a ply its outline on the page: read, shown, refused with the place ringed, taken away."""

import io

import ezdxf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import Ply
from tests.factories import make_reinforcement, make_roll
from tests.jobs.factories import confirmed, make_job, make_part, make_ply


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def ply(owner):
    kind = make_reinforcement()
    make_roll(by=owner, reinforcement=kind)
    return make_ply(make_part(make_job(by=owner)), kind, length_mm=2_000, width_mm=900)


def give(page, ply, **data):
    return page.post(reverse("ply-outline", args=[ply.pk]), data, follow=True)


def test_path_becomes_the_outline_and_the_size_of_the_ply(page, ply):
    response = give(page, ply, path="M0 0 H1200 L900 400 H0 Z")
    ply.refresh_from_db()
    assert (ply.length_mm, ply.width_mm, sorted(map(tuple, ply.outline))) == (
        1_200,
        400,
        [(0, 0), (0, 400), (900, 400), (1_200, 0)],
    )
    text = response.content.decode()
    assert "1.20 m × 400 mm around it, 0.42 m² inside" in text


def test_drawing_becomes_the_outline(page, ply):
    drawing = ezdxf.new(units=4)
    drawing.modelspace().add_lwpolyline([(0, 0), (1_200, 0), (900, 400), (0, 400)], close=True)
    text = io.StringIO()
    drawing.write(text)
    give(page, ply, drawing=SimpleUploadedFile("gusset.dxf", text.getvalue().encode()))
    ply.refresh_from_db()
    assert (ply.length_mm, ply.width_mm) == (1_200, 400)


def test_svg_drawing_becomes_the_outline(page, ply):
    text = """<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" width="120cm" height="400mm"
        viewBox="0 0 600 200"><g transform="translate(0 0)"><path d="M0 0 H600 L450 200 H0 Z"/></g></svg>"""
    give(page, ply, drawing=SimpleUploadedFile("gusset.svg", text.encode()))
    ply.refresh_from_db()
    assert (ply.length_mm, ply.width_mm, [900, 400] in ply.outline) == (1_200, 400, True)


def test_crossing_line_is_refused_with_the_place_ringed_and_what_was_typed_is_kept(page, ply):
    path = "M0 0 L300 200 L300 0 L0 200 Z"
    response = give(page, ply, path=path)
    text = response.content.decode()
    assert "crosses or touches itself at 150, 100 mm" in response.context["form"].errors["path"][0]
    assert '<circle cx="224' in text
    assert path in text
    assert Ply.objects.get().outline == []


@pytest.mark.parametrize(
    ("data", "words"),
    [({}, "Choose a drawing, or paste a path."), ({"path": "nonsense"}, "This is no SVG path")],
)
def test_nothing_and_nonsense_are_refused_in_words(page, ply, data, words):
    assert words in give(page, ply, **data).content.decode()


def test_outline_is_taken_away_again(page, ply):
    give(page, ply, path="M0 0 H1200 L900 400 H0 Z")
    page.post(reverse("ply-outline-remove", args=[ply.pk]))
    ply.refresh_from_db()
    assert (ply.outline, ply.length_mm) == ([], 1_200)


def test_outline_cannot_change_while_cloth_is_set_aside(page, ply, owner):
    confirmed(ply.part.job, owner)
    assert "Cancel the cutting plan first" in give(page, ply, path="M0 0 H1200 L900 400 H0 Z").content.decode()
    assert Ply.objects.get().outline == []


@pytest.mark.parametrize("role", ["clerk", "laminator", "outsider"])
def test_outlines_are_for_the_owner(client, ply, role, request):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse("ply-outline", args=[ply.pk])).status_code == 403
    assert client.post(reverse("ply-outline-remove", args=[ply.pk])).status_code == 403
