"""Plans of plies with outlines: nested or as rectangles, the better is on offer, and pieces count as cut."""

from itertools import combinations

import pytest
from shapely.geometry import Polygon

from jobs.calc.outline_reading import outline_from_svg
from jobs.layups.actions import change_ply, set_outline
from jobs.models import CuttingPlan, Job, Ply
from jobs.pieces import lay_up_of
from jobs.plan_making import make_plan
from jobs.plan_runs import claim_next, show_worker
from jobs.plan_search import PlanSearch
from jobs.planning import CannotPlan
from jobs.queries import with_lay_up
from shopstock import ledger
from tests.factories import NOON, make_reinforcement, make_roll, make_sure, new_key
from tests.jobs.factories import confirmed, make_job, make_part, make_ply

GUSSET = "M0 0 H1000 L0 600 Z"


@pytest.fixture
def kind(db):
    return make_reinforcement(turning="never")


@pytest.fixture
def roll(owner, kind):
    return make_sure(make_roll(by=owner, reinforcement=kind, length_mm=20_000))


@pytest.fixture
def job(owner, kind, roll) -> Job:
    """Eight gussets: as rectangles two side by side in four strips, nested about half of that."""
    job = make_job(by=owner)
    ply = make_ply(make_part(job), kind, length_mm=1_000, width_mm=600, count=8, may_turn=False)
    set_outline(ply=ply, outline=outline_from_svg(GUSSET))
    return job


def outline_polygons(strip) -> list[Polygon]:
    return [Polygon([(b.y_mm + x, b.x_mm + y) for x, y in b.outline]) for b in strip.blanks.all()]


def wrongs(plan: CuttingPlan) -> list[str]:
    """An own look at nested strips: nothing over the edge, nothing over anything else."""
    found = []
    for strip in plan.strips.select_related("roll"):
        shapes = outline_polygons(strip)
        low_y = min(shape.bounds[1] for shape in shapes)
        high_x, high_y = max(s.bounds[2] for s in shapes), max(s.bounds[3] for s in shapes)
        if low_y < -0.5 or high_x > strip.length_mm + 0.5 or high_y > strip.roll.width_mm + 0.5:
            found.append(f"{strip}: off the cloth")
        found += [f"{strip}: overlap" for a, b in combinations(shapes, 2) if a.intersection(b).area > 60]
    return found


def test_nested_outlines_take_less_cloth_than_rectangles_and_are_offered(job, owner):
    plan = make_plan(job=job, by=owner, at=NOON)
    ways = plan.materials[0]["ways"]
    assert ways["chosen"] == "nested"
    assert ways["rectangles_m2"] == 4 * 1.25
    assert ways["nested_m2"] < 0.75 * ways["rectangles_m2"]
    [strip] = plan.strips.all()
    assert (strip.blanks.count(), wrongs(plan)) == (8, [])
    assert strip.length_mm * 1_250 / 1e6 == pytest.approx(ways["nested_m2"], abs=0.001)


def test_least_cloth_that_is_claimed_is_no_more_than_the_area_of_the_pieces(job, owner):
    plan = make_plan(job=job, by=owner, at=NOON)
    row = plan.materials[0]
    assert row["search"]["bound_mm2"] == 8 * 300_000
    assert (row["needed_m2"], row["laid_m2"], row["proved"]) == (2.4, 2.4, False)


def test_rectangles_are_kept_where_nesting_saves_nothing(owner, kind, roll):
    job = make_job(by=owner)
    ply = make_ply(make_part(job), kind, length_mm=1_000, width_mm=1_250, count=2, may_turn=False)
    set_outline(ply=ply, outline=outline_from_svg("M0 0 H1000 V1250 H0 Z"))
    row = make_plan(job=job, by=owner, at=NOON).materials[0]
    assert row["ways"]["chosen"] == "rectangles"
    assert row["taken_mm"] == 2_000


def test_pieces_without_outline_are_planned_behind_the_nest(job, owner, kind):
    part = job.parts.get()
    make_ply(part, kind, length_mm=2_000, width_mm=1_250, may_turn=False)
    plan = make_plan(job=job, by=owner, at=NOON)
    nest, rest = plan.strips.order_by("number")
    assert (nest.blanks.count(), rest.blanks.get().name, rest.length_mm) == (8, "Hull 2", 2_000)
    assert rest.from_mm >= nest.length_mm


def test_worker_nests_too_and_the_plan_on_offer_gets_better(job, owner):
    show_worker("one", at=NOON)
    plan = make_plan(job=job, by=owner, at=NOON, search_seconds=4)
    assert plan.materials[0]["ways"] is None
    PlanSearch(claim_next("one", at=NOON), now=lambda: NOON).search()
    bettered = CuttingPlan.objects.get(pk=plan.pk)
    assert bettered.materials[0]["ways"]["chosen"] == "nested"
    assert (bettered.revision > plan.revision, wrongs(bettered)) == (True, [])


def test_nested_pieces_that_are_cut_are_not_planned_again(job, owner, roll):
    plan = confirmed(job, owner)
    strip = plan.strips.select_related("set_aside").get()
    roll.refresh_from_db()
    ledger.record_cut(roll=roll, length_mm=strip.length_mm, by=owner, at=NOON, key=new_key(), set_aside=strip.set_aside)
    with pytest.raises(CannotPlan, match="cut already"):
        make_plan(job=job, by=owner, at=NOON)


def test_outline_that_lies_across_the_roll_is_turned_with_its_ply(owner, kind, roll):
    job = make_job(by=owner)
    ply = make_ply(make_part(job), kind, length_mm=1_000, width_mm=600, direction="90", may_turn=False)
    set_outline(ply=ply, outline=outline_from_svg(GUSSET))
    [piece] = lay_up_of(with_lay_up(Job.objects.filter(pk=job.pk)).get(), {kind.pk: 1_250}).pieces
    assert (piece.along_mm, piece.across_mm) == (600, 1_000)
    assert set(piece.outline) == {(600, 0), (600, 1_000), (0, 0)}


def test_ply_in_panels_is_cut_as_rectangles(owner, kind, roll):
    job = make_job(by=owner)
    ply = make_ply(make_part(job), kind, length_mm=1_000, width_mm=600, may_turn=False)
    set_outline(ply=ply, outline=outline_from_svg("M0 0 H1000 L0 2000 Z"))
    pieces = lay_up_of(with_lay_up(Job.objects.filter(pk=job.pk)).get(), {kind.pk: 1_250}).pieces
    assert [piece.outline for piece in pieces] == [(), ()]


def test_new_size_takes_the_outline_away(job):
    ply = Ply.objects.get()
    assert change_ply(ply=ply, count=9).outline
    assert change_ply(ply=ply, length_mm=1_100).outline == []
