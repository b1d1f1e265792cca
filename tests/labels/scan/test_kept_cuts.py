"""What a phone sends after it had no network, and the short answers it gets."""

import pytest
from django.urls import reverse

from shopstock import ledger
from shopstock.models import Shop
from shopstock.watch import watch_list
from tests.factories import NOON, make_container

from .conftest import address_of, left_on, report

EARLIER = "2026-03-02T10:15:00.000Z"


@pytest.fixture
def tell(at_table, roll, laminator):
    def post(**form):
        entry = {"key": "tap-1", "code": roll.code, "length": "4 m", "happened_at": EARLIER, "person": laminator.pk}
        return at_table.post(reverse("cut-queue"), entry | form)

    return post


def test_who_sends_is_told_with_a_token_for_the_posts(at_table, laminator):
    answer = at_table.get(reverse("cut-queue")).json()
    assert (answer["person"], len(answer["token"]) > 20) == (laminator.pk, True)


def test_kept_cut_answers_201_and_then_200(tell, roll):
    first, second = tell(), tell()
    assert [(answer.status_code, answer.json()["replayed"]) for answer in (first, second)] == [
        (201, False),
        (200, True),
    ]
    assert left_on(roll) == 16_000


def test_kept_cut_stands_in_the_ledger_with_its_own_time_and_purpose(tell, roll):
    tell(purpose="Hull 7")
    line = roll.movements.get(kind="cut")
    assert (line.happened_at.isoformat(), line.reason) == ("2026-03-02T10:15:00+00:00", "Hull 7")


def test_cut_beyond_what_is_booked_answers_201_with_the_excess(tell, roll):
    answer = tell(length="20.4 m")
    assert (answer.status_code, answer.json()["over_mm"], left_on(roll)) == (201, 400, 0)
    assert roll.recount_reason


def test_length_cut_away_without_network_is_a_loss_with_its_reason(tell, roll):
    answers = [tell(length="0.6 m", purpose="crease", cause="fault").status_code for _ in range(2)]
    line = roll.movements.get(kind="loss")
    assert (answers, line.delta_mm, line.reason, line.cause) == ([201, 200], -600, "crease", "fault")


def test_length_cut_away_whose_answer_was_lost_is_told_again_as_the_same(at_table, tell, roll, laminator):
    report(roll, 0, 601, laminator)
    shop = Shop.current()
    shop.units = "us"
    shop.save()
    page = at_table.get(address_of("scan-roll", roll))
    shown = {name: page.context["away_form"].initial[name] for name in ("length_mm", "planned_mm", "length", "cause")}
    live = at_table.post(
        address_of("scan-cut-away", roll), shown | {"key": "away"}, headers={"accept": "application/json"}
    )
    again = tell(**shown, purpose="crease", key="away")
    assert [(answer.status_code, answer.json()["balance_after_mm"]) for answer in (live, again)] == [
        (201, 19_399),
        (200, 19_399),
    ]


def test_cut_away_that_has_changed_is_refused_in_short_to_a_device(at_table, roll, promise):
    entry = {"key": "away", "length_mm": 600}
    answer = at_table.post(address_of("scan-cut-away", roll), entry, headers={"accept": "application/json"})
    assert (answer.status_code, answer.json()["refused"], left_on(roll)) == (409, "PageOutOfDate", 20_000)


def test_same_key_with_another_length_answers_422(tell, roll):
    tell()
    answer = tell(length="5 m")
    assert (answer.status_code, answer.json()["refused"], left_on(roll)) == (422, "KeyReused", 16_000)


def test_cut_of_another_person_answers_409_and_is_not_entered(tell, roll, clerk):
    answer = tell(person=clerk.pk)
    assert (answer.status_code, answer.json()["refused"], left_on(roll)) == (409, "SomeoneElses", 20_000)


def test_code_that_no_roll_has_answers_409(tell, roll):
    answer = tell(code="B000008")
    assert (answer.status_code, answer.json()["refused"]) == (409, "NoRoll")
    assert "nothing in this store carries it" in answer.json()["message"]


def test_code_of_a_container_answers_409(tell, clerk):
    answer = tell(code=make_container(by=clerk).code)
    assert (answer.status_code, answer.json()["refused"]) == (409, "NoRoll")


@pytest.mark.parametrize("wrong", [{"length": "four"}, {"happened_at": "noon"}, {"person": ""}, {"key": ""}])
def test_form_that_is_not_understood_answers_422_and_names_the_field(tell, roll, wrong):
    answer = tell(**wrong)
    assert (answer.status_code, list(answer.json()["fields"]), left_on(roll)) == (422, list(wrong), 20_000)


def test_planned_length_left_as_it_was_is_taken_to_the_millimetre(tell, roll, owner):
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})
    promise = ledger.set_aside(promises=[ledger.Promise(roll, 4_203, "Hull 7")], by=owner, at=NOON)[0]
    tell(length="13 ft 9.5 in", promise=promise.pk, planned_mm=4_203)
    promise.refresh_from_db()
    assert (left_on(roll), promise.state) == (15_797, "cut")


def test_person_without_a_role_or_a_sign_in_tells_nothing(client, outsider, roll):
    assert client.post(reverse("cut-queue"), {}).status_code == 302
    client.force_login(outsider)
    assert client.post(reverse("cut-queue"), {}).status_code == 403
    assert left_on(roll) == 20_000


def test_worker_is_served_from_the_top_of_the_site(at_table):
    answer = at_table.get("/worker.js")
    assert (answer["Content-Type"], b"addEventListener" in b"".join(answer)) == ("text/javascript", True)


def test_roll_that_was_cut_too_far_is_on_the_list_to_measure(tell, roll):
    tell(length="20.4 m")
    [item] = [item for item in watch_list(NOON.date()) if item.kind == "to_measure"]
    assert (item.cause, item.page, item.page_arg) == (
        "A cut made without network took 0.40 m more than was booked.",
        "roll-recount",
        roll.code,
    )
