import datetime

import pytest
from django.urls import reverse

from shopstock.calc.climate import Reading
from shopstock.climate.actions import store_reading
from shopstock.models import Container
from tests.factories import NOON, TODAY, make_chemical, make_container, make_place


@pytest.fixture
def page(client, laminator):
    client.force_login(laminator)
    return client


@pytest.fixture
def can(clerk):
    return make_container(by=clerk, chemical=make_chemical("Catalyst", kind="peroxide"), place=make_place("Cabinet A"))


def move(page, can, place, **entry):
    address = reverse("container-move", args=[can.code])
    answer = page.post(address, {"place": place.pk, "key": "m"} | entry, follow=True).content.decode()
    can.refresh_from_db()
    return answer


def test_container_moved_stands_there_and_the_ledger_says_who_moved_it(page, can, laminator):
    assert "stands at Cabinet B now" in move(page, can, make_place("Cabinet B"))
    line = can.movements.first()
    assert (can.place.name, line.kind, line.delta_g, line.by, line.reason) == (
        "Cabinet B", "move", 0, laminator, "to Cabinet B",
    )  # fmt: skip


def test_move_beside_promoter_is_refused_on_the_page_with_the_reason(page, can, clerk):
    other = make_place("Cabinet B")
    promoter = make_container(by=clerk, chemical=make_chemical("Cobalt", kind="promoter"), place=other)
    answer = move(page, can, other, knows="it is only for an hour")
    assert f"mixed directly they explode (Cobalt {promoter.code} stands there)" in answer
    assert can.place.name == "Cabinet A"


def test_move_that_is_warned_of_needs_a_reason_which_the_ledger_keeps(page, can):
    bench = make_place("Pallet", on_wood=True)
    answer = move(page, can, bench)
    assert "say why it may" in answer
    assert 'type="text" name="knows"' in answer
    assert can.place.name == "Cabinet A"
    move(page, can, bench, knows="steel tray under it")
    assert can.place.name == "Pallet"
    assert can.movements.first().reason.endswith("a spill into wood can take fire: steel tray under it")


def test_loss_is_written_off_with_how_it_came_about(page, can):
    address = reverse("container-lose", args=[can.code])
    answer = page.post(address, {"amount": "500 g", "reason": "spilled", "key": "l"}, follow=True).content.decode()
    line = can.movements.first()
    assert (line.kind, line.delta_g, line.reason) == ("loss", -500, "spilled")
    assert "500 g lost, 19.50 kg left" in answer


@pytest.mark.parametrize(
    ("entry", "words"),
    [({"amount": "21 kg", "reason": "spilled"}, "20.00 kg left"), ({"amount": "1 kg", "reason": ""}, "Fill this in")],
)
def test_loss_that_makes_no_sense_is_refused(page, can, entry, words):
    assert words in page.post(reverse("container-lose", args=[can.code]), entry | {"key": "l"}).content.decode()
    can.refresh_from_db()
    assert can.mass_g == 20_000


def test_nothing_happens_to_a_container_that_was_disposed_of(client, page, can, clerk):
    client.force_login(clerk)
    client.post(reverse("container-dispose", args=[can.code]), {"reason": "waste note 4411", "key": "d1"})
    for name, entry in (
        ("container-draw", {"amount": "1 kg"}),
        ("container-lose", {"amount": "1 kg", "reason": "spilled"}),
        ("container-move", {"place": make_place("Cabinet B").pk}),
    ):
        answer = client.post(reverse(name, args=[can.code]), entry | {"key": name}, follow=True).content.decode()
        assert "is empty or disposed of" in answer, name
    assert Container.objects.get().mass_g == 0


def test_heat_ages_it_by_a_rule_of_thumb_beside_the_date_that_stays(client, clerk):
    place = make_place("Hot room")
    resin = make_chemical(shelf_life_days=180)
    label = TODAY + datetime.timedelta(days=120)
    came = TODAY - datetime.timedelta(days=30)
    drum = make_container(by=clerk, chemical=resin, place=place, label_date=label, received_on=came)
    for days in range(1, 31):
        store_reading(place, Reading(NOON - datetime.timedelta(days=days), 35.0), source="hand", sure=True)
    client.force_login(clerk)
    page = client.get(drum.get_absolute_url())
    assert (page.context["aged"].percent, round(page.context["aged"].days_left)) == (33, 120)
    assert "rule of thumb" in page.content.decode()
    assert drum.expires_on == label


def test_cold_store_never_makes_a_date_later(clerk):
    place = make_place("Cold room")
    drum = make_container(by=clerk, chemical=make_chemical(shelf_life_days=180), place=place)
    store_reading(place, Reading(NOON, 5.0), source="hand")
    assert drum.expires_on == drum.label_date
