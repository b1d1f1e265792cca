"""Laying a stand-in: the plies, the record, the mark, and the plan that follows."""

import pytest
from django.urls import reverse

from jobs.designers import StandInRefused, name_designer
from jobs.lay_up_text import LaidFabric, written
from jobs.models import CuttingPlan, Job, Ply, StandIn
from jobs.standing_in.actions import choose_stand_in
from jobs.standing_in.target import target_of
from shopstock import ledger
from shopstock.models import SetAside
from tests.factories import NOON, make_roll, new_key
from tests.jobs.fabrics import hull_job, make_fabric
from tests.jobs.factories import confirmed

pytestmark = pytest.mark.django_db


def lay(part, plies, by, *, number=2, **values):
    target = target_of(part.pk, [part.plies.get(number=number).pk] if number else [])
    fixed = {"tolerance": 0.05, "limit": 0.15, "why": "none there", "designer": "", "shown": written(target.specified)}
    return choose_stand_in(target=target, plies=plies, by=by, at=NOON, **(fixed | values))


def lay_up(part) -> list[tuple[int, str, str]]:
    return [(ply.number, ply.reinforcement.name, ply.direction) for ply in part.plies.order_by("number")]


def test_the_ply_gives_way_to_two_and_the_rest_move_up(owner):
    _, part = hull_job(owner)
    light = make_fabric("roving 300", "woven_roving", 300, by=owner)
    lay(part, [LaidFabric(light, "0")] * 2, owner)
    names = ["mat 450", "roving 300", "roving 300", "mat 450"]
    assert lay_up(part) == [(at, name, "any" if "mat" in name else "0") for at, name in enumerate(names, start=1)]
    assert {(ply.length_mm, ply.width_mm) for ply in part.plies.all()} == {(2_000, 1_000)}


def test_a_whole_lay_up_may_become_one_ply(owner):
    _, part = hull_job(owner)
    heavy = make_fabric("cross 2000", "cross", 2000, by=owner)
    lay(part, [LaidFabric(heavy, "0")], owner, number=None)
    assert lay_up(part) == [(1, "cross 2000", "0")]


def test_decision_keeps_who_why_the_figures_and_the_methods(owner):
    job, part = hull_job(owner)
    cross = make_fabric("cross 600", "cross", 600, by=owner)
    kept = lay(part, [LaidFabric(cross, "0")], owner, why="not before the 12th")
    assert (kept.job, kept.by, kept.at, kept.why, kept.grade) == (job, owner, NOON, "not before the 12th", "A")
    assert kept.specified == [{"number": 2, "fabric": "roving 600", "direction": "0", "fibre_mass_fraction": 0.48}]
    assert kept.chosen == [{"fabric": "cross 600", "direction": "0", "fibre_mass_fraction": 0.5}]
    assert kept.ratios["bending 0"] == pytest.approx(0.957, abs=6e-4)
    assert kept.methods["strength"] == "ISO 12215-5:2008 annex C defaults"
    assert not kept.waits_for_designer


def test_class_that_asks_the_designer_marks_the_job_until_the_name_is_there(owner):
    job, part = hull_job(owner)
    mat = make_fabric("mat 600", "mat", 600, by=owner)
    kept = lay(part, [LaidFabric(mat, "any")], owner)
    assert (kept.grade, kept.waits_for_designer) == ("C", True)
    named = name_designer(decision=kept, designer="N. Arkwright", by=owner, at=NOON)
    assert (named.waits_for_designer, named.designer_noted_by) == (False, owner)
    with pytest.raises(StandInRefused, match="N. Arkwright is noted already"):
        name_designer(decision=kept, designer="Somebody else", by=owner, at=NOON)


def test_second_tap_finds_the_lay_up_changed_and_does_nothing(owner):
    _, part = hull_job(owner)
    cross = make_fabric("cross 600", "cross", 600, by=owner)
    shown = written(target_of(part.pk, [part.plies.get(number=2).pk]).specified)
    lay(part, [LaidFabric(cross, "0")], owner)
    with pytest.raises(StandInRefused, match="has changed since this page was shown"):
        lay(part, [LaidFabric(cross, "0")], owner, shown=shown)
    assert StandIn.objects.count() == 1


def test_confirmed_plan_is_given_back(owner):
    job, part = hull_job(owner)
    make_roll(by=owner, reinforcement=part.plies.get(number=2).reinforcement)
    plan = confirmed(job, owner)
    lay(part, [LaidFabric(make_fabric("cross 600", "cross", 600, by=owner), "0")], owner)
    plan.refresh_from_db()
    job.refresh_from_db()
    assert (plan.state, job.state) == (CuttingPlan.State.CANCELLED, Job.State.DRAFT)
    assert not SetAside.objects.filter(state=SetAside.State.OPEN).exists()


def test_part_that_is_cut_into_keeps_its_lay_up(owner):
    job, part = hull_job(owner)
    make_roll(by=owner, reinforcement=part.plies.get(number=2).reinforcement)
    confirmed(job, owner)
    promise = SetAside.objects.order_by("roll_id", "number").first()
    ledger.record_cut(
        roll=promise.roll, length_mm=promise.length_mm, set_aside=promise, by=owner, at=NOON, key=new_key()
    )
    before = lay_up(part)
    with pytest.raises(StandInRefused, match="cut already"):
        lay(part, [LaidFabric(make_fabric("cross 600", "cross", 600, by=owner), "0")], owner)
    assert (lay_up(part), StandIn.objects.count()) == (before, 0)


def address(part, stack: str) -> str:
    ply = part.plies.get(number=2)
    return f"{reverse('stand-in-choose', args=[part.pk])}?ply={ply.pk}&tolerance=5&limit=15&stack={stack}"


def test_choosing_from_the_page_lays_records_and_plans_again(client, owner):
    job, part = hull_job(owner)
    mat = make_fabric("mat 600", "mat", 600, by=owner)
    client.force_login(owner)
    page = client.get(address(part, f"{mat.pk}:anyx1"))
    assert "not equivalent: ask the designer" in page.content.decode()
    posted = {"why": "Friday", "designer": "", "shown": page.context["form"]["shown"].value()}
    answer = client.post(address(part, f"{mat.pk}:anyx1"), posted, follow=True)
    plan = CuttingPlan.objects.get(job=job)
    assert answer.redirect_chain[-1][0] == plan.get_absolute_url()
    assert {row["name"]: row["short"] for row in plan.materials} == {"mat 450": [], "mat 600": []}
    words = "A stand-in waits for the designer."
    assert words in answer.content.decode()
    assert words in client.get(job.get_absolute_url()).content.decode()
    assert "waits for the designer" in client.get(reverse("jobs")).content.decode()
    record = StandIn.objects.get()
    client.post(reverse("stand-in-designer", args=[record.pk]), {"designer": "N. Arkwright"})
    assert words not in client.get(job.get_absolute_url()).content.decode()


def test_reason_is_asked_for_and_what_was_typed_stays(client, owner):
    _, part = hull_job(owner)
    mat = make_fabric("mat 600", "mat", 600, by=owner)
    client.force_login(owner)
    answer = client.post(address(part, f"{mat.pk}:anyx1"), {"why": "", "designer": "N. Arkwright", "shown": "x"})
    assert answer.context["form"].errors == {"why": ["Fill this in."]}
    assert "N. Arkwright" in answer.content.decode()


@pytest.mark.parametrize("stack", ["", "abc", "99999:0x1", "1:12x1", "1:0x99_1:0x99"])
def test_address_that_names_no_stack_goes_back_with_a_word(client, owner, stack):
    job, part = hull_job(owner)
    client.force_login(owner)
    answer = client.get(address(part, stack), follow=True)
    assert answer.redirect_chain[-1][0] == job.get_absolute_url()
    assert "Choose again" in answer.content.decode()


def test_fabric_without_figures_says_where_to_enter_them(client, owner):
    _, part = hull_job(owner)
    flax = make_fabric("flax 600", "cross", 600, fibre="flax")
    Ply.objects.filter(part=part, number=2).update(reinforcement=flax)
    client.force_login(owner)
    text = client.get(reverse("stand-ins", args=[part.pk])).content.decode()
    assert "There are no elastic figures of flax yet." in text
    assert reverse("material-properties") in text


ROLES = {"clerk": (200, 403), "laminator": (200, 403), "owner": (200, 302), "outsider": (403, 403)}


@pytest.mark.parametrize("role", ROLES)
def test_everyone_looks_and_the_owner_chooses(client, owner, role, request):
    _, part = hull_job(owner)
    cross = make_fabric("cross 600", "cross", 600, by=owner)
    shown = written(target_of(part.pk, [part.plies.get(number=2).pk]).specified)
    chosen = address(part, f"{cross.pk}:0x1")
    client.force_login(request.getfixturevalue(role))
    looks, chooses = ROLES[role]
    assert client.get(reverse("stand-ins", args=[part.pk])).status_code == looks
    assert client.post(chosen, {"why": "Friday", "designer": "", "shown": shown}).status_code == chooses
    kept = StandIn.objects.first() or lay(part, [LaidFabric(cross, "0")], owner)
    assert client.get(kept.get_absolute_url()).status_code == looks
    named = client.post(reverse("stand-in-designer", args=[kept.pk]), {"designer": "N. Arkwright"})
    assert named.status_code == chooses
