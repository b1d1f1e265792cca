import datetime
from decimal import Decimal

import pytest
from django.urls import reverse

from shopstock.models import Chemical, WatchDecision
from shopstock.watch_answers import CannotPutOff, answer, watched
from tests.factories import NOON, TODAY, make_chemical, make_container


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def drum(clerk, planned):
    """A drum that ends in 10 days: a warning that is not urgent."""
    resin = make_chemical("Resin", pack_g=25_000, price_per_pack=Decimal("100"))
    return make_container(by=clerk, chemical=resin, label_date=day(10))


def only(role="clerk", on=TODAY):
    (one,) = watched(role, on, NOON)
    return one


def put_off(clerk, until=5):
    return answer(item=only().item, kind="put off", reason="waits for hull 7", by=clerk, at=NOON, until=day(until))


def text(response) -> str:
    return response.content.decode()


def test_warning_put_off_comes_back_on_its_day(drum, clerk):
    put_off(clerk)
    assert [only(on=day(n)).is_put_off for n in (0, 4, 5)] == [True, True, False]


def test_warning_seen_stays_seen_until_it_is_more_urgent(drum, clerk):
    answer(item=only().item, kind="seen", reason="used up on Friday", by=clerk, at=NOON)
    assert only().is_seen
    assert only(on=day(11)).answer is None  # past its date now: another warning, and an urgent one


def test_answer_to_one_that_became_more_urgent_holds_no_longer(drum, clerk):
    decision = put_off(clerk)
    WatchDecision.objects.filter(pk=decision.pk).update(severity=2)
    assert only().answer is None


@pytest.mark.parametrize("until", [-1, 0, 91])
def test_putting_off_to_no_day_ahead_or_for_ever_is_refused(drum, clerk, until):
    with pytest.raises(CannotPutOff, match="Choose a day after today, up to 2026-05-31"):
        put_off(clerk, until)


def test_warning_names_the_money_and_mass_at_risk(drum):
    assert only().item.risk("metric", "EUR") == "20.00 kg · 80.00 EUR"


@pytest.fixture
def page(client, clerk):
    client.force_login(clerk)
    return client


def send(page, **entry):
    values = {"warning": only().item.name, "kind": "seen", "reason": "I know"} | entry
    return page.post(reverse("watch-answer"), values, follow=True)


def test_answer_is_kept_with_name_and_reason_and_stays_on_the_page(page, drum, clerk):
    answered = send(page, kind="put off", until="2026-03-07", reason="waits for hull 7")
    decision = WatchDecision.objects.get()
    assert (decision.by, decision.until, decision.reason) == (clerk, day(5), "waits for hull 7")
    assert "Put off until 2026-03-07 by carla, 2026-03-02: waits for hull 7" in text(answered)
    assert (len(answered.context["open"]), len(answered.context["answered"])) == (0, 1)


def test_today_leaves_out_what_was_answered_and_says_how_much(page, drum):
    assert "Use 20.00 kg by 2026-03-12" in text(page.get(reverse("today")))
    send(page)
    today = text(page.get(reverse("today")))
    assert "Use 20.00 kg by 2026-03-12" not in today
    assert "1 acknowledged or put off" in today


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"reason": ""}, "Fill this in"),
        ({"kind": "put off"}, "Choose the day on which it shall come back"),
        ({"kind": "put off", "until": "2026-03-02"}, "Choose a day after today"),
        ({"kind": "put off", "until": "2030-01-01"}, "up to 2026-05-31"),
        ({"kind": "put off", "until": "soon"}, "Enter a date"),
        ({"kind": "hidden"}, "“hidden” is not in the list"),
    ],
)
def test_answer_that_makes_no_sense_is_refused(page, drum, entry, message):
    assert message in text(send(page, **entry))
    assert WatchDecision.objects.count() == 0


def test_warning_that_is_gone_meanwhile_is_said_to_be_gone(page, drum):
    assert "That warning is gone" in text(send(page, warning="resin_near:NOTHERE"))


def test_kind_that_is_none_is_not_found(page, drum):
    assert page.get(reverse("watch"), {"kind": "nonsense"}).status_code == 404
    assert len(page.get(reverse("watch"), {"kind": "resin_near"}).context["open"]) == 1
    assert page.get(reverse("watch"), {"kind": "folded"}).context["open"] == []


@pytest.mark.parametrize("role", ["clerk", "laminator", "owner", "outsider"])
@pytest.mark.parametrize("name", ["watch", "watch-answer", "watch-mine", "watch-feed-new"])
def test_page_is_for_everybody_with_a_role(client, request, drum, role, name):
    client.force_login(request.getfixturevalue(role))
    codes = {client.get(reverse(name)).status_code, client.post(reverse(name)).status_code}
    assert codes <= ({403, 405} if role == "outsider" else {200, 302, 405})


def test_laminator_sees_what_can_spoil_the_work_at_hand_alone(drum, clerk):
    Chemical.objects.update(kind="polyester")
    assert [one.item.kind for one in watched("laminator", TODAY, NOON)] == ["resin_near"]
    assert watched(None, TODAY, NOON) == []
