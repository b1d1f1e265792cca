"""Say what the part is and get fabrics; look at up to three side by side."""

import datetime

import pytest
from django.urls import reverse

from jobs.lay_up_text import LaidFabric, LayUpTextError, in_words, read, written
from shopstock.models import Roll
from tests.factories import TODAY, make_roll, make_sure
from tests.jobs.fabrics import hull_job, make_fabric

pytestmark = pytest.mark.django_db
ASKED = {"shape": "flat", "load": "two", "resin": "polyester", "process": "hand", "thickness": "2"}


def asked(client, person, **changes):
    client.force_login(person)
    return client.get(reverse("choose-fabric"), ASKED | changes)


def offers(answer) -> list[tuple[str, bool]]:
    return [(offer.words, not offer.fails) for offer in answer.context["found"].offers]


def test_fabric_in_stock_comes_before_a_lighter_one_that_is_not(client, owner):
    make_fabric("cross 850", "cross", 850)
    make_fabric("roving 900", "woven_roving", 900, by=owner)
    answer = asked(client, owner)
    assert offers(answer) == [("2 × roving 900 at 0°", True), ("2 × cross 850 at 0°", True)]
    masses = [offer.answer.lay_up.mass_gsm for offer in answer.context["found"].offers]
    assert masses[0] > masses[1]


def test_metres_free_stand_beside_the_lay_up(client, owner):
    roving = make_fabric("roving 800", "woven_roving", 800)
    make_sure(make_roll(by=owner, reinforcement=roving, length_mm=12_500))
    assert "12.50 m of roving 800 free" in asked(client, owner).content.decode()


def test_metres_free_leave_out_the_length_in_doubt_and_what_lies_in_quarantine_or_past_its_date(client, owner):
    roving = make_fabric("roving 800", "woven_roving", 800)
    roll = make_roll(by=owner, reinforcement=roving, length_mm=12_500)
    for changes in ({"condition": Roll.Condition.QUARANTINED}, {"use_by": TODAY - datetime.timedelta(days=1)}):
        other = make_roll(by=owner, reinforcement=roving, length_mm=5_000)
        Roll.objects.filter(pk=other.pk).update(**changes)
    ((_, free_mm),) = asked(client, owner).context["found"].offers[0].free
    assert free_mm == roll.safe_length_mm // 10 * 10 < 12_500


def test_stiff_fabric_fails_on_a_compound_curve_and_is_listed_last(client, owner):
    make_fabric("roving 800", "woven_roving", 800, by=owner)
    make_fabric("mat 450", "mat", 450, by=owner)
    answer = asked(client, owner, shape="compound")
    assert offers(answer)[0] == ("2 × mat 450", True)
    last = answer.context["found"].offers[-1]
    assert last.fails == ("roving 800 drapes 2 of 5, this shape wants 4",)


def test_mat_with_epoxy_fails_on_resin_and_lies_flat_only(client, owner):
    make_fabric("mat 450", "mat", 450, by=owner)
    fails = asked(client, owner, shape="compound", resin="epoxy").context["found"].offers[0].fails
    assert fails == ("mat 450 drapes 1 of 5, this shape wants 4", "mat 450 does not go with this resin")


def test_carbon_is_brittle_where_the_part_wears(client, owner):
    make_fabric("carbon 300", "cross", 300, by=owner, fibre="carbon")
    fails = asked(client, owner, wear="on").context["found"].offers[0].fails
    assert fails == ("carbon: brittle: a knock can break it without warning",)


def test_strands_one_way_answer_a_load_one_way_and_not_two(client, owner):
    make_fabric("strands 600", "unidirectional", 600, by=owner)
    _, part = hull_job(owner)
    both = asked(client, owner, thickness="", reference=part.pk, load="two")
    assert ("3 × strands 600 at 0°", True) not in offers(both)
    one = asked(client, owner, thickness="", reference=part.pk, load="one")
    strands = next(offer for offer in one.context["found"].offers if offer.words.endswith("× strands 600 at 0°"))
    assert strands.fails == ()


@pytest.mark.parametrize(
    ("load", "fails"),
    [
        ("one", ()),
        ("two", ("next to none of its fibre works at 90°",)),
        ("every", ("next to none of its fibre works at 90°",)),
    ],
)
def test_strands_one_way_fail_where_nothing_of_them_works_whatever_the_target(client, owner, load, fails):
    make_fabric("strands 600", "unidirectional", 600, by=owner)
    (offer,) = asked(client, owner, load=load).context["found"].offers
    assert (offer.words, offer.fails) == ("4 × strands 600 at 0°", fails)


def test_fabric_without_figures_is_left_out_with_the_reason(client, owner):
    make_fabric("flax 600", "cross", 600, by=owner, fibre="flax")
    left_out = asked(client, owner).context["found"].left_out
    assert [(str(fabric), reason) for fabric, reason in left_out] == [
        ("flax 600", "There are no elastic figures of flax yet. Enter them from its data sheet.")
    ]


def test_without_a_target_it_asks_for_one(client, owner):
    answer = asked(client, owner, thickness="")
    assert answer.context["form"].non_field_errors() == [
        "Give at least one target: thickness, mass, a stiffness or a lay-up."
    ]


@pytest.mark.parametrize(
    ("name", "value"), [("thickness", "-3"), ("mass", "heavy"), ("shape", "round"), ("reference", "9")]
)
def test_nonsense_gets_a_message_beside_its_field(client, owner, name, value):
    answer = asked(client, owner, **{name: value})
    assert list(answer.context["form"].errors) == [name]
    assert "found" not in answer.context


def test_three_lay_ups_stand_side_by_side_by_one_method(client, laminator):
    roving, mat = make_fabric("roving 600", "woven_roving", 600), make_fabric("mat 450", "mat", 450)
    lay_ups = [f"{mat.pk}:anyx3", f"{roving.pk}:0x3", f"{mat.pk}:anyx1_{roving.pk}:0x1_{mat.pk}:anyx1"]
    client.force_login(laminator)
    answer = client.get(reverse("compare-lay-ups"), {"lay-up": lay_ups, "resin": "polyester", "process": "hand"})
    found = answer.context["found"]
    assert [column.words for column in found.columns] == [
        "3 × mat 450",
        "3 × roving 600 at 0°",
        "mat 450 / roving 600 at 0° / mat 450",
    ]
    assert found.columns[2].measures.stretching[0] == pytest.approx(31_043, rel=1e-4)
    assert found.strength_method == "ISO 12215-5:2008 annex C defaults"


@pytest.mark.parametrize("lay_ups", [[], ["1:0x1"] * 2 + ["2:0x1", "3:0x1", "4:0x1"], ["nonsense"]])
def test_other_than_one_to_three_lay_ups_are_not_compared(client, laminator, lay_ups):
    client.force_login(laminator)
    answer = client.get(reverse("compare-lay-ups"), {"lay-up": lay_ups})
    assert answer.status_code == 200
    assert "Nothing to compare." in answer.content.decode()


def test_lay_up_reads_back_from_its_text(owner):
    roving, mat = make_fabric("roving 600", "woven_roving", 600), make_fabric("mat 450", "mat", 450)
    plies = [LaidFabric(mat, "any"), LaidFabric(roving, "+45"), LaidFabric(roving, "+45")]
    assert written(plies) == f"{mat.pk}:anyx1_{roving.pk}:+45x2"
    assert read(written(plies)) == plies
    assert in_words(plies) == "mat 450 / 2 × roving 600 at +45°"


def test_text_of_too_many_plies_is_refused(owner):
    mat = make_fabric("mat 450", "mat", 450)
    with pytest.raises(LayUpTextError, match="1 to 40 plies"):
        read(f"{mat.pk}:anyx41")


def test_somebody_without_a_role_sees_neither(client, outsider):
    client.force_login(outsider)
    assert client.get(reverse("choose-fabric")).status_code == 403
    assert client.get(reverse("compare-lay-ups")).status_code == 403
