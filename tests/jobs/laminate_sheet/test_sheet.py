"""Laminate sheets: figures by one method at a time, and property data with its source."""

import pytest
from django.urls import reverse

from jobs.calc.laminate_properties import PropertiesError
from jobs.calc.standard_laminate import standard_figures
from jobs.laid_plies import materials_for, turn_deg
from jobs.models import MaterialProperties, Ply
from tests.jobs.fabrics import hull_job, make_fabric
from tests.worked.stiffness_calculations import laid

pytestmark = pytest.mark.django_db
ASKED = {"process": "hand", "resin": "polyester", "method": "rule", "woven_factor": "1.0"}
CARBON = {
    "density": "1.8",
    "modulus": "240000",
    "modulus_across": "15000",
    "shear_modulus": "50000",
    "poisson": "0.3",
    "source": "data sheet 7 of 2025",
}


def sheet(client, person, rows, **changes):
    client.force_login(person)
    asked = ASKED | changes
    for number, (fabric, direction, times, share) in enumerate(rows, start=1):
        values = {"fabric": fabric, "direction": direction, "times": times, "share": share}
        asked |= {f"p{number}-{name}": value for name, value in values.items()}
    return client.get(reverse("laminate-sheet"), asked)


def test_part_of_a_job_has_the_worked_figures(client, laminator, owner):
    _, part = hull_job(owner)
    client.force_login(laminator)
    context = client.get(reverse("part-laminate", args=[part.pk])).context
    found, rule = context["sheet"], context["rule"]
    assert (found.fibre_gsm, found.resin_gsm, found.mass_gsm) == pytest.approx((1500, 2750, 4250))
    assert found.thickness_mm == pytest.approx(2.875, abs=1e-3)
    assert rule.stretching.along == pytest.approx(10_237, abs=1)
    assert (rule.symmetric, rule.balanced, rule.stiffness.couples_stretch_and_bending) == (True, True, False)


def test_standards_lines_stand_alone_and_never_beside_the_other_method(client, owner):
    _, part = hull_job(owner)
    client.force_login(owner)
    answer = client.get(reverse("part-laminate", args=[part.pk]), {"method": "iso"})
    text = answer.content.decode()
    assert "rule" not in answer.context
    assert "NR546" not in text
    assert "Do not compare with figures of the other method." in text
    assert answer.context["standard"][0][1].strength == pytest.approx(320.6, abs=0.1)


def test_any_lay_up_is_worked_out_from_its_address(client, laminator):
    mat, roving = make_fabric("mat 450", "mat", 450), make_fabric("roving 600", "woven_roving", 600)
    rows = [(mat.pk, "any", 1, ""), (roving.pk, "0", 1, ""), (mat.pk, "any", 1, "")]
    answer = sheet(client, laminator, rows)
    assert answer.context["sheet"].mass_gsm == pytest.approx(4250)
    assert answer.context["method"] == "BV NR546 (2022) micromechanics and classical laminate theory"


def test_lay_up_of_two_different_faces_is_said_to_be_coupled(client, laminator):
    mat, roving = make_fabric("mat 450", "mat", 450), make_fabric("roving 600", "woven_roving", 600)
    text = sheet(client, laminator, [(mat.pk, "any", 1, ""), (roving.pk, "0", 1, "")]).content.decode()
    assert "<strong>Not symmetric:</strong>" in text
    assert "<strong>Coupled:</strong> pulled flat, it bends or twists." in text


@pytest.mark.parametrize("share", ["0.05", "0.9", "30"])
def test_fibre_share_out_of_range_gets_a_message_beside_it(client, laminator, share):
    mat = make_fabric("mat 450", "mat", 450)
    answer = sheet(client, laminator, [(mat.pk, "any", 1, share)])
    assert "The fibre share lies from 0.1 to 0.8. Write 30 % as 0.30." in answer.content.decode()
    assert "sheet" not in answer.context


def test_standards_modulus_below_its_range_is_refused_and_not_extended(client, laminator):
    mat = make_fabric("mat 450", "mat", 450)
    answer = sheet(client, laminator, [(mat.pk, "any", 1, "0.15")], method="iso")
    assert "hold for fibre mass fractions from 0.2 to 0.75, not for 0.15" in answer.content.decode()


def test_layers_that_do_not_come_to_the_weight_are_said(client, laminator):
    roving = make_fabric("roving 600", "woven_roving", 600)
    roving.layers.update(areal_weight_gsm=250)
    text = sheet(client, laminator, [(roving.pk, "0", 1, "")]).content.decode()
    assert "The layers of roving 600 come to 500 g/m²" in text


def test_no_fabric_at_all_is_no_lay_up(client, laminator):
    assert "Choose a fabric for at least one ply." in sheet(client, laminator, []).content.decode()


def test_crimp_takes_stiffness_off_woven_plies_only(client, laminator):
    roving, cross = make_fabric("roving 600", "woven_roving", 600), make_fabric("cross 600", "cross", 600)
    whole, crimped = (
        [
            sheet(client, laminator, [(kind.pk, "0", 1, "0.5")], woven_factor=factor).context["rule"].stretching.along
            for kind in (roving, cross)
        ]
        for factor in ("1.0", "0.9")
    )
    assert crimped[0] < whole[0] == pytest.approx(whole[1])
    assert crimped[1] == whole[1]


def test_warp_lies_as_the_blanks_are_cut(owner):
    roving, bias = make_fabric("roving", "woven_roving", 600), make_fabric("bias", "bias", 600)
    turns = [[turn_deg(kind, way) for way in Ply.Direction.values] for kind in (roving, bias)]
    assert dict(zip(Ply.Direction.values, turns[0], strict=True)) == {
        "0": 0, "90": 90, "45": 45, "+45": 45, "-45": -45, "any": 0,
    }  # fmt: skip
    assert dict(zip(Ply.Direction.values, turns[1], strict=True)) == {
        "0": 45, "90": 45, "45": 0, "+45": 0, "-45": 0, "any": 0,
    }  # fmt: skip


def test_shops_own_figures_replace_the_defaults_and_can_be_taken_back(client, owner):
    client.force_login(owner)
    edit = reverse("material-properties-edit", args=["fibre:carbon"])
    client.post(edit, CARBON)
    kept = MaterialProperties.objects.get()
    assert (kept.by, kept.source) == (owner, "data sheet 7 of 2025")
    assert materials_for("epoxy").fibre("carbon").stiffness.along == 240_000
    assert "data sheet 7 of 2025" in client.get(reverse("material-properties")).content.decode()
    client.post(reverse("material-properties-default", args=["fibre:carbon"]))
    assert materials_for("epoxy").fibre("carbon").stiffness.along == 238_000


def test_fibre_without_defaults_works_once_its_data_sheet_is_typed(client, owner):
    flax = make_fabric("flax 300", "cross", 300, fibre="flax")
    assert "no elastic figures of flax yet" in sheet(client, owner, [(flax.pk, "0", 2, "0.4")]).content.decode()
    client.post(reverse("material-properties-edit", args=["fibre:flax"]), CARBON | {"modulus": "50000"})
    answer = sheet(client, owner, [(flax.pk, "0", 2, "0.4")])
    assert answer.context["rule"].stretching.along > 5_000
    assert "Strength: no default figure" in answer.content.decode()


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("density", "1800", "1800 looks like kg/m³. In g/cm³ that is 1.8: type that if it is meant."),
        ("density", "9", "Fibres and resins weigh 0.5 to 5 g/cm³."),
        ("modulus", "240", "240 looks like GPa. In N/mm² that is 240000: type that if it is meant."),
        ("poisson", "0.6", "Poisson’s ratio lies from 0 to below 0.5."),
        ("source", "", "Fill this in."),
    ],
)
def test_figure_in_another_unit_is_questioned_beside_its_field(client, owner, name, typed, says):
    client.force_login(owner)
    answer = client.post(reverse("material-properties-edit", args=["fibre:carbon"]), CARBON | {name: typed})
    assert answer.context["form"].errors == {name: [says]}
    assert not MaterialProperties.objects.exists()


@pytest.mark.parametrize("role", ["clerk", "laminator", "outsider"])
def test_only_the_owner_changes_figures(client, role, request):
    client.force_login(request.getfixturevalue(role))
    for name in ("material-properties-edit", "material-properties-default"):
        assert client.post(reverse(name, args=["fibre:carbon"]), CARBON).status_code == 403
    assert client.get(reverse("laminate-sheet")).status_code == (403 if role == "outsider" else 200)
    assert client.get(reverse("material-properties")).status_code == (403 if role == "outsider" else 200)


def test_material_that_nobody_knows_is_not_found(client, owner):
    client.force_login(owner)
    assert client.get(reverse("material-properties-edit", args=["fibre:steel"])).status_code == 404


def test_standard_counts_strands_only_along_themselves():
    mat, strands = laid(450, "mat", 0.30), laid(600, "unidirectional", 0.55)
    along, across = standard_figures([mat, strands], 0), standard_figures([mat, strands], 90)
    assert across.strength == pytest.approx(89.3, abs=0.1)
    assert along.strength > 4 * across.strength
    with pytest.raises(PropertiesError, match="0° and 90° only"):
        standard_figures([mat], 45)


def test_standards_bending_of_one_ply_is_that_of_a_beam():
    figures = standard_figures([laid(450, "mat", 0.30)], 0)
    assert figures.bending == pytest.approx(6400 * 1.05078125**3 / 12)
