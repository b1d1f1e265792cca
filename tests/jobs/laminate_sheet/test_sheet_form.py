"""The form of a laminate sheet: few plies in sight, more when they are wanted; the standard only where it applies."""

import pytest
from django.urls import reverse

from tests.factories import make_chemical
from tests.jobs.fabrics import hull_job, make_fabric

pytestmark = pytest.mark.django_db
ASKED = {"process": "hand", "resin": "polyester", "method": "rule", "woven_factor": "1.0"}


@pytest.mark.parametrize(("ply", "is_open"), [(1, False), (8, True)])
def test_further_plies_are_folded_away_until_one_is_used(client, laminator, ply, is_open):
    mat = make_fabric("mat 450", "mat", 450)
    client.force_login(laminator)
    answer = client.get(reverse("laminate-sheet"), ASKED | {f"p{ply}-fabric": mat.pk})
    assert answer.context["more_open"] == is_open
    assert answer.context["sheet"].fibre_gsm == 450


@pytest.mark.parametrize(("kind", "is_offered"), [("polyester", True), ("epoxy", False)])
def test_standards_lines_are_offered_for_polyester_alone(client, laminator, owner, kind, is_offered):
    job, part = hull_job(owner)
    job.resin = make_chemical(kind=kind)
    job.save()
    client.force_login(laminator)
    page = client.get(reverse("part-laminate", args=[part.pk])).content.decode()
    assert ("By the standard’s default lines" in page) == is_offered
    refused = client.get(reverse("part-laminate", args=[part.pk]), {"method": "iso"}).content.decode()
    assert ("not for epoxy, cured. Work it out by micromechanics." in refused) != is_offered
