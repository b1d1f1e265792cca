"""Rolls left out, pieces tied to a roll, strips kept as they are marked out; the rest is planned around them."""

import pytest

from jobs.cutting.actions import confirm_plan
from jobs.laying import CannotPlan
from jobs.models import CuttingPlan
from jobs.plan_making import make_plan
from jobs.queries import strips_in_order
from jobs.wishes import KeptBlank, KeptStrip, Pin, Wishes
from shopstock import ledger
from shopstock.models import CutHabit, Shop
from tests.factories import NOON, make_reinforcement, make_roll, make_sure, new_key
from tests.jobs.cutting.plan_check import wrongs
from tests.jobs.factories import confirmed, make_job, make_part, make_ply, planned, simple_job


@pytest.fixture
def kind(db):
    return make_reinforcement()


@pytest.fixture
def rolls(owner, kind):
    return [make_sure(make_roll(by=owner, reinforcement=kind, length_mm=20_000)) for _ in range(2)]


@pytest.fixture
def job(owner, kind, rolls):
    job = make_job(by=owner)
    part = make_part(job)
    for length_mm, width_mm in ((3_000, 1_250), (2_000, 1_250), (1_500, 600), (1_400, 600)):
        make_ply(part, kind, length_mm=length_mm, width_mm=width_mm, may_turn=False)
    return job


def plan_with(job, owner, **wishes) -> CuttingPlan:
    plan = make_plan(job=job, by=owner, at=NOON, wishes=Wishes(**wishes))
    assert wrongs(plan) == []
    return plan


def rolls_of(plan) -> dict[str, str]:
    """Which roll each piece comes from."""
    return {blank.name: strip.roll.code for strip in strips_in_order(plan) for blank in strip.blanks.all()}


def kept(strip) -> KeptStrip:
    blanks = (
        KeptBlank(b.ply_id, b.name, b.x_mm, b.y_mm, b.across_mm, b.along_mm, b.turned) for b in strip.blanks.all()
    )
    return KeptStrip(strip.roll.code, strip.roll.length_mm - strip.from_mm, strip.length_mm, tuple(blanks))


def test_roll_that_is_left_out_is_not_cut(job, owner, rolls):
    first, second = rolls
    free = rolls_of(planned(job, owner))
    assert set(free.values()) == {first.code} or set(free.values()) == {second.code}
    used = next(iter(free.values()))
    other = {first.code, second.code} - {used}
    assert set(rolls_of(plan_with(job, owner, forbidden=(used,))).values()) == other


def test_all_rolls_left_out_leaves_every_piece_short_with_the_reason(job, owner, rolls):
    plan = plan_with(job, owner, forbidden=tuple(roll.code for roll in rolls))
    assert {line["reason"] for line in plan.materials[0]["short"]} == {
        "nothing usable of this reinforcement is free on the racks"
    }
    assert not plan.strips.exists()


@pytest.mark.parametrize("number", [0, 1])
def test_piece_tied_to_a_roll_comes_from_it(job, owner, rolls, number):
    ply = job.parts.get().plies.get(number=1)
    plan = plan_with(job, owner, pins=(Pin(ply.pk, "Hull 1", rolls[number].code),))
    assert rolls_of(plan)["Hull 1"] == rolls[number].code
    assert len(rolls_of(plan)) == 4


def test_tie_to_a_roll_that_is_gone_is_refused_with_what_to_do(job, owner, rolls):
    ledger.quarantine(roll=rolls[0], reason="oily", by=owner, at=NOON, key=new_key())
    ply = job.parts.get().plies.get(number=1)
    with pytest.raises(CannotPlan, match="Take that tie out"):
        plan_with(job, owner, pins=(Pin(ply.pk, "Hull 1", rolls[0].code),))


def test_kept_strip_stays_where_it_is_and_keeps_its_pieces(job, owner):
    before = list(strips_in_order(planned(job, owner)))[1]
    after = plan_with(job, owner, kept=(kept(before),))
    strip = after.strips.get(roll=before.roll, from_mm=before.from_mm)
    places = [(b.name, b.x_mm, b.y_mm, b.along_mm) for b in strip.blanks.all()]
    assert (strip.length_mm, places) == (
        before.length_mm,
        [(b.name, b.x_mm, b.y_mm, b.along_mm) for b in before.blanks.all()],
    )
    assert len(rolls_of(after)) == 4


def test_clean_cloth_before_a_kept_strip_is_a_length_of_its_own_that_comes_off_first(owner, kind, rolls):
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_250, may_turn=False)
    strip = planned(job, owner).strips.get()
    blank = strip.blanks.get()
    marked = KeptStrip(strip.roll.code, 20_000 - 700, 2_000, (KeptBlank(blank.ply_id, blank.name, 0, 0, 1_250, 2_000),))
    plan = plan_with(job, owner, kept=(marked,))
    assert [(s.from_mm, s.length_mm, s.blanks.count()) for s in plan.strips.order_by("number")] == [
        (0, 700, 0),
        (700, 2_000, 1),
    ]
    assert [(row["width_mm"], row["length_mm"]) for row in plan.materials[0]["offcuts"]] == [(1_250, 700)]
    confirmed_plan = confirmed(job, owner)  # planned anew without the wish, so that only its own length is promised
    assert confirmed_plan.strips.get().length_mm == 2_000


def test_length_before_a_kept_strip_is_set_aside_as_such(owner, kind, rolls):
    job = simple_job(by=owner, reinforcement=kind, name="Skiff 3", length_mm=2_000, width_mm=1_250, may_turn=False)
    strip = planned(job, owner).strips.get()
    blank = strip.blanks.get()
    marked = KeptStrip(strip.roll.code, 19_300, 2_000, (KeptBlank(blank.ply_id, blank.name, 0, 0, 1_250, 2_000),))
    confirm_plan(plan=plan_with(job, owner, kept=(marked,)), by=owner, at=NOON)
    promises = strip.roll.set_asides.order_by("number").values_list("length_mm", "purpose")
    assert list(promises) == [(700, "Skiff 3, end before a marked strip"), (2_000, "Skiff 3")]


def test_kept_strip_moves_with_the_free_end_when_cloth_before_it_is_cut(owner, kind, rolls):
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_250, may_turn=False)
    strip = planned(job, owner).strips.get()
    blank = strip.blanks.get()
    marked = KeptStrip(strip.roll.code, 19_000, 2_000, (KeptBlank(blank.ply_id, blank.name, 0, 0, 1_250, 2_000),))
    ledger.record_cut(roll=strip.roll, length_mm=400, by=owner, at=NOON, key=new_key())
    plan = plan_with(job, owner, kept=(marked,))
    assert plan.strips.get(blanks__isnull=False).from_mm == 600


def test_kept_strip_that_was_cut_off_is_refused(owner, kind, rolls):
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_250, may_turn=False)
    strip = planned(job, owner).strips.get()
    wish = kept(strip)
    ledger.record_cut(roll=strip.roll, length_mm=400, by=owner, at=NOON, key=new_key())
    with pytest.raises(CannotPlan, match="Let it go"):
        plan_with(job, owner, kept=(wish,))


def test_kept_strip_holds_with_edge_trim_allowance_and_the_habit_of_cutting_over(job, owner, kind):
    Shop.objects.update_or_create(pk=1, defaults={"edge_trim_mm": 20, "cutting_allowance_mm": 4})
    CutHabit.objects.create(form=kind.form, allowance_mm=15, observations=6, cuts=60, by=owner, at=NOON)
    before = planned(job, owner).strips.order_by("number").first()
    after = plan_with(job, owner, kept=(kept(before),))
    assert after.strips.filter(roll=before.roll, from_mm=before.from_mm, length_mm=before.length_mm).exists()


def test_what_was_settled_is_kept_with_the_plan(job, owner, rolls):
    wishes = Wishes(forbidden=(rolls[0].code,))
    plan = plan_with(job, owner, forbidden=(rolls[0].code,))
    assert Wishes.from_json(CuttingPlan.objects.get(pk=plan.pk).wishes) == wishes


def test_wishes_survive_being_written_and_read(job, owner):
    strip = planned(job, owner).strips.first()
    wishes = Wishes(("X",), (Pin(1, "Hull 1", "Y"),), (kept(strip),))
    assert Wishes.from_json(wishes.as_json()) == wishes
    assert Wishes().as_json() == {}
