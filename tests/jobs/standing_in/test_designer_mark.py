"""A stand-in that asks for a designer: marked everywhere, and nothing set aside until the name is there."""

import pytest
from django.urls import reverse

from jobs.cutting.actions import confirm_plan
from jobs.designers import DesignerMissing
from jobs.lay_up_text import LaidFabric, written
from jobs.models import CuttingPlan, StandIn
from jobs.plan_making import make_plan
from jobs.standing_in.actions import choose_stand_in
from jobs.standing_in.target import target_of
from shopstock.models import SetAside
from shopstock.tickets import tickets_of
from tests.factories import NOON
from tests.jobs.fabrics import hull_job, make_fabric

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(owner) -> CuttingPlan:
    """Of a hull in which mat 600 was laid for roving 600, class C, without a designer's name."""
    job, part = hull_job(owner)
    mat = make_fabric("mat 600", "mat", 600, by=owner)
    target = target_of(part.pk, [part.plies.get(number=2).pk])
    fixed = {"tolerance": 0.05, "limit": 0.15, "why": "none there", "designer": "", "by": owner, "at": NOON}
    choose_stand_in(target=target, plies=[LaidFabric(mat, "any")], shown=written(target.specified), **fixed)
    return make_plan(job=job, by=owner, at=NOON)


def test_plan_is_not_confirmed_without_the_designers_name(owner, plan):
    with pytest.raises(DesignerMissing, match="mat 600 in place of roving 600 is class C: enter the designer"):
        confirm_plan(plan=plan, by=owner, at=NOON)
    plan.refresh_from_db()
    assert plan.state == CuttingPlan.State.OFFERED
    assert not SetAside.objects.exists()


@pytest.mark.parametrize("typed", ["", "   "])
def test_page_asks_for_the_name_beside_the_button(client, owner, plan, typed):
    client.force_login(owner)
    field = f"designer-{StandIn.objects.get().pk}"
    answer = client.post(reverse("plan-confirm", args=[plan.pk]), {field: typed, "revision": plan.revision})
    assert answer.context["form"].errors == {field: ["Enter the designer who agreed to it, then confirm."]}
    assert "Designer who agreed to mat 600 in place of roving 600" in answer.content.decode()


def test_name_typed_while_confirming_is_noted_and_the_lengths_set_aside(client, owner, plan):
    client.force_login(owner)
    decision = StandIn.objects.get()
    posted = {f"designer-{decision.pk}": "N. Arkwright", "revision": plan.revision}
    page = client.post(reverse("plan-confirm", args=[plan.pk]), posted, follow=True).content.decode()
    decision.refresh_from_db()
    assert (decision.designer, decision.designer_noted_by) == ("N. Arkwright", owner)
    assert SetAside.objects.filter(state=SetAside.State.OPEN).exists()
    assert "waits for the designer" not in page


def test_name_is_not_noted_when_the_racks_have_changed(owner, plan):
    decision, strip = StandIn.objects.get(), plan.strips.first()
    plan.stock_seen[str(strip.roll_id)]["length_mm"] += 1
    plan.save()
    with pytest.raises(Exception, match="has changed"):
        confirm_plan(plan=plan, by=owner, at=NOON, designers={decision.pk: "N. Arkwright"})
    decision.refresh_from_db()
    assert decision.waits_for_designer


def test_tickets_of_a_plan_on_offer_carry_the_mark(client, owner, plan):
    mark = "Do not cut: mat 600 in place of roving 600 waits for the designer (class C)."
    assert {ticket.marks for ticket in tickets_of(plan.pk)} == {(mark,)}
    client.force_login(owner)
    for name in ("cut-tickets", "plan-print"):
        assert mark in client.get(reverse(name, args=[plan.pk])).content.decode()
