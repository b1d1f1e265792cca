"""What a plan takes and from where: faults, grain, edges, offcuts, never more than there is."""

from decimal import Decimal

import pytest

from jobs.models import CuttingPlan
from jobs.plan_making import make_plan
from jobs.planning import CannotPlan
from jobs.plans import JobClosed
from jobs.wishes import Wishes
from shopstock import ledger
from shopstock.ledger.checks import places_of
from shopstock.ledger.faults import FoundFault
from shopstock.models import CutHabit, Roll, Shop
from shopstock.queries import promises_on
from tests.factories import NOON, make_reinforcement, make_roll, make_sure, new_key
from tests.jobs.factories import confirmed, make_job, make_part, make_ply, planned, simple_job

from .plan_check import wrongs
from .test_by_hand import kept


@pytest.fixture
def kind(db):
    return make_reinforcement()


def places(plan) -> list[tuple[str, int, int]]:
    return [(strip.roll.code, strip.from_mm, strip.length_mm) for strip in plan.strips.select_related("roll")]


def row(plan) -> dict:
    return plan.materials[0]


def test_plan_takes_one_strip_for_two_pieces_that_lie_side_by_side(owner, kind):
    roll = make_sure(make_roll(by=owner, reinforcement=kind))
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=600, count=2), owner)
    assert places(plan) == [(roll.code, 0, 2_000)]
    assert (row(plan)["taken_mm"], row(plan)["left_mm"], row(plan)["short"]) == (2_000, 48_000, [])


def test_plan_on_offer_sets_nothing_aside(owner, kind):
    roll = make_roll(by=owner, reinforcement=kind)
    planned(simple_job(by=owner, reinforcement=kind), owner)
    roll.refresh_from_db()
    assert roll.set_aside_mm == 0


def test_plan_says_waste_in_percent_and_money(owner, kind):
    make_roll(by=owner, reinforcement=kind)
    Shop.objects.update_or_create(pk=1, defaults={"offcut_width_mm": 300})
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_000), owner)
    # 2000 × 1250 taken, 2000 × 1000 laid, the 250 mm beside it is too narrow to keep: 0.5 m² of 2.5 at 1.92 a m²
    assert (row(plan)["waste_m2"], row(plan)["waste_percent"], row(plan)["waste_money"]) == (0.5, 20.0, "0.96")


def test_plan_without_a_price_says_no_money(owner):
    kind = make_reinforcement(price_per_roll=None)
    make_roll(by=owner, reinforcement=kind)
    assert row(planned(simple_job(by=owner, reinforcement=kind), owner))["waste_money"] is None


def test_piece_beside_the_blank_that_is_wide_enough_comes_back_as_an_offcut(owner, kind):
    roll = make_roll(by=owner, reinforcement=kind)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=800, may_turn=False), owner)
    assert row(plan)["offcuts"] == [{"roll": roll.code, "strip": 1, "width_mm": 450, "length_mm": 2_000}]
    assert row(plan)["waste_m2"] == 0.0


def test_strips_stay_clear_of_faults(owner, kind):
    make_roll(by=owner, reinforcement=kind, length_mm=10_000, faults=[FoundFault(3_000, 3_400, "crease")])
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_500, width_mm=1_200, count=3), owner)
    assert wrongs(plan) == []
    assert [start for _, start, _ in places(plan)][:2] == [0, 3_400]
    assert row(plan)["taken_mm"] == 7_500


def test_clean_end_before_a_fault_that_is_cut_past_counts_as_waste(owner, kind):
    make_sure(make_roll(by=owner, reinforcement=kind, length_mm=10_000, faults=[FoundFault(240, 440, "crease")]))
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_250, may_turn=False), owner)
    assert places(plan)[0][1] == 440
    assert (row(plan)["waste_m2"], row(plan)["left_mm"]) == (0.3, 7_560)


def test_long_clean_end_before_a_fault_comes_back_as_an_offcut(owner, kind):
    roll = make_roll(by=owner, reinforcement=kind, length_mm=10_000, faults=[FoundFault(900, 1_000, "crease")])
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_250, may_turn=False), owner)
    assert row(plan)["offcuts"] == [{"roll": roll.code, "strip": 1, "width_mm": 1_250, "length_mm": 900}]


def test_edge_trim_keeps_blanks_off_both_edges(owner, kind):
    make_roll(by=owner, reinforcement=kind)
    Shop.objects.update_or_create(pk=1, defaults={"edge_trim_mm": 20})
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=3_000, width_mm=2_000, may_turn=False), owner)
    assert wrongs(plan) == []
    blanks = [blank for strip in plan.strips.all() for blank in strip.blanks.all()]
    assert min(blank.x_mm for blank in blanks) == 20
    assert max(blank.across_mm for blank in blanks) == 1_210


def test_cutting_allowance_is_added_to_every_strip(owner, kind):
    make_roll(by=owner, reinforcement=kind)
    Shop.objects.update_or_create(pk=1, defaults={"cutting_allowance_mm": 10})
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_000, may_turn=False), owner)
    assert places(plan)[0][2] == 2_010


def test_one_way_cloth_is_never_turned(owner):
    kind = make_reinforcement(form="unidirectional", turning="never", width_mm=600)
    make_roll(by=owner, reinforcement=kind)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=400, width_mm=600, count=7), owner)
    assert wrongs(plan) == []
    assert row(plan)["taken_mm"] == 7 * 400


def test_offcut_is_used_before_a_roll_is_touched(owner, kind):
    roll = make_roll(by=owner, reinforcement=kind)
    offcut = ledger.record_offcut(parent=roll, width_mm=700, length_mm=2_100, by=owner, at=NOON, key=new_key())
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=600), owner)
    assert places(plan) == [(offcut.code, 0, 2_000)]


def test_quarantined_roll_is_not_planned(owner, kind):
    make_roll(by=owner, reinforcement=kind, quarantine_reason="oily")
    plan = planned(simple_job(by=owner, reinforcement=kind), owner)
    assert places(plan) == []
    assert row(plan)["short"][0]["reason"] == "nothing usable of this reinforcement is free on the racks"


def test_plan_never_takes_more_than_there_is_and_says_what_is_short(owner, kind):
    make_roll(by=owner, reinforcement=kind, length_mm=5_000)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200, count=4), owner)
    assert wrongs(plan) == []
    assert row(plan)["taken_mm"] == 4_000
    assert [(line["name"], line["pieces"]) for line in row(plan)["short"]] == [("Hull 1", 2)]


def test_panels_are_made_for_the_roll_that_can_give_them(owner, kind):
    make_roll(by=owner, reinforcement=kind, width_mm=1_250, length_mm=1_000)
    narrow = make_roll(by=owner, reinforcement=kind, width_mm=1_000, length_mm=30_000)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=3_000, width_mm=1_800, may_turn=False), owner)
    assert row(plan)["short"] == []
    assert {code for code, _, _ in places(plan)} == {narrow.code}
    assert row(plan)["cut_width_mm"] == 1_000


def test_narrow_roll_is_not_seamed_together_where_a_wide_one_gives_the_ply_whole(owner, kind):
    wide = make_roll(by=owner, reinforcement=kind)
    make_roll(by=owner, reinforcement=kind, width_mm=300)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=800, may_turn=False), owner)
    assert {code for code, _, _ in places(plan)} == {wide.code}


def test_two_ends_of_six_metres_do_not_give_a_piece_of_ten(owner, kind):
    for _ in range(2):
        make_roll(by=owner, reinforcement=kind, length_mm=6_000)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=10_000, width_mm=1_000, may_turn=False), owner)
    assert places(plan) == []
    assert row(plan)["short"][0]["pieces"] == 1


def test_each_reinforcement_has_its_own_row(owner, kind):
    other = make_reinforcement(price_per_roll=Decimal("80"))
    for each in (kind, other):
        make_roll(by=owner, reinforcement=each)
    job = make_job(by=owner)
    part = make_part(job)
    make_ply(part, kind)
    make_ply(part, other)
    assert {line["name"] for line in planned(job, owner).materials} == {kind.name, other.name}


def test_job_without_plies_has_no_plan(owner):
    with pytest.raises(CannotPlan, match="Add a part"):
        planned(make_job(by=owner), owner)


def test_cancelled_job_has_no_plan(owner, kind):
    job = simple_job(by=owner, reinforcement=kind)
    job.state = "cancelled"
    job.save()
    with pytest.raises(JobClosed, match="cannot be changed"):
        planned(job, owner)


def test_newer_plan_replaces_the_one_on_offer(owner, kind):
    make_roll(by=owner, reinforcement=kind)
    job = simple_job(by=owner, reinforcement=kind)
    first, second = planned(job, owner), planned(job, owner)
    first.refresh_from_db()
    assert (first.state, second.state) == (CuttingPlan.State.REPLACED, CuttingPlan.State.OFFERED)


def test_new_plan_leaves_out_what_is_cut_already(owner, kind):
    for length_mm in (2_100, 4_100):
        make_roll(by=owner, reinforcement=kind, length_mm=length_mm)
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200, count=3, may_turn=False)
    first = confirmed(job, owner).strips.get(roll__length_mm=2_100)
    ledger.record_cut(roll=first.roll, length_mm=2_000, by=owner, at=NOON, key=new_key(), set_aside=first.set_aside)
    assert row(planned(job, owner))["taken_mm"] == 4_000


def test_new_plan_may_use_what_the_confirmed_one_holds(owner, kind):
    make_sure(make_roll(by=owner, reinforcement=kind, length_mm=4_000))
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200, count=2)
    confirmed(job, owner)
    assert row(planned(job, owner))["short"] == []


def test_plan_starts_behind_what_others_have_set_aside(owner, kind):
    roll = make_roll(by=owner, reinforcement=kind, length_mm=9_000)
    confirmed(simple_job(by=owner, reinforcement=kind, length_mm=3_000, width_mm=1_200), owner)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200), owner)
    assert places(plan) == [(roll.code, 3_000, 2_000)]
    assert Roll.objects.get().set_aside_mm == 3_000


def test_plan_says_when_only_the_doubt_about_a_roll_leaves_pieces_short(owner, kind):
    roll = make_roll(by=owner, reinforcement=kind, length_mm=4_000)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200, count=2), owner)
    assert [short["pieces"] for short in row(plan)["short"]] == [1]
    assert row(plan)["notes"] == [
        "1 piece would fit if the rolls are as long as booked, which is not sure enough to plan on: "
        f"the last 38 mm of {roll.code} are in doubt. Measure it, then plan again."
    ]


def test_plan_does_not_blame_the_doubt_when_cloth_is_really_short(owner, kind):
    make_roll(by=owner, reinforcement=kind, length_mm=3_000)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200, count=2), owner)
    assert (len(row(plan)["short"]), row(plan)["notes"]) == (1, [])


def test_habit_of_cutting_over_lengthens_strips_and_not_the_pieces(owner, kind):
    make_roll(by=owner, reinforcement=kind)
    CutHabit.objects.create(form=kind.form, allowance_mm=15, observations=6, cuts=60, by=owner, at=NOON)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_250, may_turn=False), owner)
    [strip] = plan.strips.all()
    assert (strip.length_mm, strip.blanks.get().along_mm, strip.blanks.get().across_mm) == (2_015, 2_000, 1_250)


def test_habit_of_another_form_changes_nothing(owner, kind):
    make_roll(by=owner, reinforcement=kind)
    CutHabit.objects.create(form="veil", allowance_mm=15, observations=6, cuts=60, by=owner, at=NOON)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_250, may_turn=False), owner)
    assert plan.strips.get().length_mm == 2_000


def test_reinforcements_own_keeping_rule_decides_on_offcuts(owner, kind):
    kind.offcut_area_cm2 = 20_000
    kind.save()
    make_roll(by=owner, reinforcement=kind)
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=700, may_turn=False)
    assert row(planned(job, owner))["offcuts"] == []
    kind.offcut_area_cm2 = 2_500
    kind.save()
    [piece] = row(planned(job, owner))["offcuts"]
    assert (piece["width_mm"], piece["length_mm"]) == (550, 2_000)


def test_offcut_is_used_up_although_a_narrow_roll_would_take_a_little_less_cloth(owner):
    kind = make_reinforcement(width_mm=640)
    make_roll(by=owner, reinforcement=kind)
    wide = make_roll(by=owner, reinforcement=kind, width_mm=1_250)
    offcut = ledger.record_offcut(parent=wide, width_mm=700, length_mm=2_100, by=owner, at=NOON, key=new_key())
    plan = planned(
        simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=600, may_turn=False, may_seam=False), owner
    )
    assert places(plan) == [(offcut.code, 0, 2_000)]


def test_offcut_is_left_where_it_would_waste_much_more(owner):
    kind = make_reinforcement(width_mm=640)
    roll = make_roll(by=owner, reinforcement=kind)
    wide = make_roll(by=owner, reinforcement=kind, width_mm=1_250)
    ledger.record_offcut(parent=wide, width_mm=1_200, length_mm=2_100, by=owner, at=NOON, key=new_key())
    plan = planned(
        simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=600, may_turn=False, may_seam=False), owner
    )
    assert places(plan) == [(roll.code, 0, 2_000)]


STREAK = FoundFault(0, 20_000, "oil", across_mm=(0, 200))


def streaked(owner, kind) -> Roll:
    return make_sure(make_roll(by=owner, reinforcement=kind, length_mm=20_000, faults=[STREAK]))


def test_pieces_are_cut_beside_a_streak_that_runs_along_the_whole_roll(owner, kind):
    roll = streaked(owner, kind)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=900, may_turn=False), owner)
    assert (places(plan), wrongs(plan)) == ([(roll.code, 0, 2_000)], [])
    assert plan.strips.get().blanks.get().x_mm >= 200


def test_plan_beside_a_streak_is_set_aside_there_and_comes_out_in_order(owner, kind):
    roll = streaked(owner, kind)
    plan = confirmed(
        simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=900, count=3, may_turn=False), owner
    )
    first = plan.strips.first()
    low, high = first.set_aside.taken_across[0]
    assert (low, places_of(roll, list(promises_on(roll)))) == (first.blanks.get().x_mm, [0, 2_000, 4_000])
    assert high >= low + 900


def test_piece_too_wide_for_the_clear_side_of_a_streak_is_short(owner, kind):
    streaked(owner, kind)
    plan = planned(simple_job(by=owner, reinforcement=kind, width_mm=1_200, may_seam=False, may_turn=False), owner)
    assert (plan.strips.count(), row(plan)["short"][0]["pieces"]) == (0, 1)


def test_strip_kept_by_hand_beside_a_streak_stays_there(owner, kind):
    streaked(owner, kind)
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=900, may_turn=False)
    strip = planned(job, owner).strips.get()
    plan = make_plan(job=job, by=owner, at=NOON, wishes=Wishes(kept=(kept(strip),)))
    assert (places(plan), wrongs(plan)) == ([(strip.roll.code, 0, 2_000)], [])


def test_saving_less_cloth_than_its_charge_opens_no_roll(owner, kind):
    """A strip of the narrow new roll is 0.44 m² less, and opening a roll counts as 500 mm of it, 0.63 m²."""
    started, _ = (make_sure(make_roll(by=owner, reinforcement=kind, **roll)) for roll in ({}, {"width_mm": 700}))
    ledger.record_cut(roll=started, length_mm=1_000, by=owner, at=NOON, key=new_key())
    job = simple_job(by=owner, reinforcement=kind, length_mm=800, width_mm=600, may_turn=False)
    plan = planned(job, owner)
    assert [code for code, _, _ in places(plan)] == [started.code]
    opened = make_plan(job=job, by=owner, at=NOON, wishes=Wishes(forbidden=(started.code,)))
    assert row(plan)["merit"] < row(opened)["merit"]
