"""What is offered in place of a ply, what is held back, and why."""

import pytest
from django.urls import reverse

from jobs.standing_in.search import find_stand_ins
from jobs.standing_in.target import NoSpecification, target_of
from shopstock import ledger
from shopstock.models import Roll, Shop
from tests.factories import NOON, make_roll, new_key
from tests.jobs.fabrics import hull_job, make_fabric

pytestmark = pytest.mark.django_db


def found_for(part, number=2, **rules):
    ply = part.plies.get(number=number)
    limits = {"at": NOON, "tolerance": 0.05, "limit": 0.15} | rules
    return find_stand_ins(target_of(part.pk, [ply.pk]), Shop.current(), **limits)


def offered(found) -> list[tuple[str, str]]:
    return [(row.words, row.comparison.grade) for row in found.rows]


def why_not(found) -> dict[str, str]:
    return dict(found.gated)


def test_fabrics_of_the_worked_table_come_out_in_its_classes(owner):
    _, part = hull_job(owner)
    for name, sort, gsm in [
        ("roving 800", "woven_roving", 800),
        ("roving 500", "woven_roving", 500),
        ("roving 300", "woven_roving", 300),
        ("cross 600", "cross", 600),
        ("bias 600", "bias", 600),
        ("strands 600", "unidirectional", 600),
        ("mat 600", "mat", 600),
    ]:
        make_fabric(name, sort, gsm, by=owner)
    found = found_for(part)
    singles = {row.words: row.comparison.grade for row in (*found.rows, *found.short) if len(row.plies) == 1}
    assert singles["roving 800 at 0°"] == singles["cross 600 at 0°"] == "A"
    assert ("2 × roving 300 at 0°", "A") in offered(found)
    assert {singles.get("mat 600"), singles.get("roving 500 at 0°")} <= {"C"}


def test_stiff_mat_is_shown_as_not_equivalent_with_the_reason(owner):
    _, part = hull_job(owner)
    make_fabric("mat 600", "mat", 600, by=owner)
    found = found_for(part, limit=1)
    row = next(row for row in found.short if row.words == "mat 600")
    assert "mat 600" not in dict(offered(found))
    assert row.comparison.reasons == (
        "fibre 0° only 88 % of what is specified",
        "strength 0° only 93 % of what is specified",
    )


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({"fibre": "carbon"}, "carbon is another fibre than specified"),
        ({"fits_polyester": "not"}, "does not go with the resin of the job"),
    ],
)
def test_fabric_that_does_not_belong_is_held_back(owner, fields, reason):
    _, part = hull_job(owner)
    make_fabric("cross 600", "cross", 600, by=owner, **fields)
    assert why_not(found_for(part))["cross 600"] == reason


def test_stiffer_draping_fabric_is_held_back_on_a_complex_mould_only(owner):
    job, part = hull_job(owner)
    make_fabric("cross 600", "cross", 600, by=owner, drape=1)
    assert offered(found_for(part)) == [("cross 600 at 0°", "A")]
    job.process = "hand_complex"
    job.save()
    assert why_not(found_for(part))["cross 600"] == "drapes 1 of 5, the specified fabric 2"


def test_cloth_in_quarantine_or_set_aside_is_not_there(owner):
    _, part = hull_job(owner)
    kind = make_fabric("cross 600", "cross", 600)
    assert why_not(found_for(part))["cross 600"] == "nothing usable is free on the racks"
    roll = make_roll(by=owner, reinforcement=kind, length_mm=10_000)
    assert offered(found_for(part)) == [("cross 600 at 0°", "A")]
    ledger.set_aside(promises=[ledger.Promise(roll, 9_000, "other job")], by=owner, at=NOON)
    assert why_not(found_for(part))["cross 600 at 0°"] == "one ply takes 2.00 m², 1.13 m² is free"
    Roll.objects.filter(pk=roll.pk).update(condition=Roll.Condition.QUARANTINED)
    assert why_not(found_for(part))["cross 600"] == "nothing usable is free on the racks: 1 roll quarantined"


def test_cloth_too_narrow_without_a_seam_is_held_back(owner):
    _, part = hull_job(owner)
    part.plies.update(may_seam=False)
    make_fabric("narrow 600", "cross", 600, by=owner, width_mm=600)
    assert "Allow a seam in this ply, or take a wider cloth." in why_not(found_for(part))["narrow 600 at 0°"]


def test_two_plies_for_which_only_one_lies_there_are_not_offered(owner):
    _, part = hull_job(owner)
    make_fabric("roving 300", "woven_roving", 300, by=owner, length_mm=3_000)
    found = found_for(part)
    assert offered(found) == []
    assert "2 × roving 300 at 0°" in why_not(found)


def test_offer_says_lot_offcut_cloth_and_cost(owner):
    _, part = hull_job(owner)
    kind = make_fabric("cross 600", "cross", 600)
    make_roll(by=owner, reinforcement=kind, length_mm=5_000, lot="S9")
    row = found_for(part).rows[0]
    assert row.racks.lots[0].startswith("S9 (")
    assert (row.racks.taken_m2, row.cost_ratio) == (2.5, 1.0)
    assert row.free_mm == ((kind, 4_950),)  # as sure as the ledger is of the length


def test_older_lot_and_less_mass_come_first_within_a_class(owner):
    _, part = hull_job(owner)
    for name, gsm in (("roving 640", 640), ("roving 620", 620)):
        make_fabric(name, "woven_roving", gsm, by=owner)
    assert [words for words, _ in offered(found_for(part))] == ["roving 620 at 0°", "roving 640 at 0°"]


def test_plus_45_ply_is_offered_straight_before_cut_on_the_bias(owner):
    _, part = hull_job(owner, direction="45")
    make_fabric("cross 600", "cross", 600, by=owner)
    make_fabric("bias 610", "bias", 610, by=owner)
    rows = found_for(part).rows
    assert [(row.words, row.is_bias_cut) for row in rows] == [("bias 610 at ±45°", False), ("cross 600 at ±45°", True)]
    assert [row.cloth[0].blanks_m2 for row in rows] == [2.0, 3.949438]  # straight, and of two slanted strips


def test_whole_lay_up_is_answered_by_stacks_of_up_to_three_plies(owner):
    _, part = hull_job(owner)
    make_fabric("cross 600", "cross", 600, by=owner)
    found = find_stand_ins(target_of(part.pk, []), Shop.current(), at=NOON, tolerance=0.05, limit=0.15)
    assert offered(found).count(("mat 450 / cross 600 at 0° / mat 450", "A")) == 1


def test_offcuts_go_before_whole_rolls(owner):
    _, part = hull_job(owner)
    for name in ("cross a", "cross b"):
        make_fabric(name, "cross", 600, by=owner)
    roll = Roll.objects.get(reinforcement__name="cross b")
    ledger.record_cut(roll=roll, length_mm=20_000, by=owner, at=NOON, key=new_key())
    Roll.objects.filter(pk=roll.pk).update(kind=Roll.Kind.OFFCUT)
    assert [words for words, _ in offered(found_for(part))][0] == "cross b at 0°"


def test_plies_that_are_not_there_or_not_together_are_no_target(owner):
    _, part = hull_job(owner)
    first, _, third = part.plies.all()
    with pytest.raises(NoSpecification, match="not in the lay-up any more"):
        target_of(part.pk, [first.pk, 10_000])
    with pytest.raises(NoSpecification, match="lie on one another"):
        target_of(part.pk, [first.pk, third.pk])


def test_address_of_plies_that_are_gone_goes_back_to_the_job_with_a_word(client, owner):
    job, part = hull_job(owner)
    client.force_login(owner)
    for name, more in (("stand-ins", {}), ("stand-in-choose", {"stack": "1:0x1"})):
        answer = client.get(reverse(name, args=[part.pk]), {"ply": 10_000} | more, follow=True)
        assert answer.redirect_chain[-1][0] == job.get_absolute_url()
        assert "These plies are not in the lay-up any more." in answer.content.decode()
        assert client.get(reverse(name, args=[10_000])).status_code == 404
