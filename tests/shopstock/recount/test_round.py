"""A round through the whole store: what is found, what is missing, and what closing it writes."""

import datetime
from decimal import Decimal

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from django.utils import timezone

from shopstock import ledger
from shopstock.models import Measurement, Movement, RecountEntry, RecountRound, Roll
from shopstock.recount import actions
from shopstock.recount.findings import findings_of
from tests.factories import NOON, make_person, make_place, make_reinforcement, make_roll, new_key


@pytest.fixture
def kind():
    return make_reinforcement("mat 450", form="mat", areal_weight_gsm=450, price_per_roll=Decimal("125.00"))


@pytest.fixture
def rolls(clerk, kind):
    rack = make_place("Rack A1")
    return [
        make_roll(by=clerk, reinforcement=kind, length_mm=length, place=rack) for length in (50_000, 40_000, 30_000)
    ]


@pytest.fixture
def recount(clerk, rolls) -> RecountRound:
    return actions.start_round(tolerance_percent=Decimal("2.0"), tolerance_mm=1_000, by=clerk, at=timezone.now())[0]


@pytest.fixture
def send(client, clerk, recount):
    client.force_login(clerk)

    def send(roll, by=client, **typed):
        form = {"key": "k", "seen_mm": roll.length_mm, "measured_as": "across"}
        return by.post(reverse("recount-count", args=[recount.pk, roll.code]), form | typed)

    return send


def close(client, recount, **typed):
    return client.post(reverse("recount-close", args=[recount.pk]), {"close": "1"} | typed)


def said(answer) -> str:
    return " ".join(str(message) for message in get_messages(answer.wsgi_request))


def lengths(rolls) -> list[int]:
    return [Roll.objects.get(pk=roll.pk).length_mm for roll in rolls]


def test_only_one_round_is_open_and_a_second_person_joins_it(client, recount):
    client.force_login(make_person("cora", "clerk"))
    answer = client.post(reverse("recount"), {"tolerance_percent": "2", "tolerance": "1 m"}, follow=True)
    assert RecountRound.objects.count() == 1
    assert "A round is open already, begun by carla: you count in it too." in answer.content.decode()


def test_scanned_label_leads_to_the_roll_and_the_place_is_remembered(client, clerk, recount, rolls):
    client.force_login(clerk)
    place = make_place("Rack B2")
    answer = client.post(
        recount.get_absolute_url(), {"code": f"HTTPS://STORE.LAN/R/{rolls[0].code}", "place": place.pk}
    )
    assert answer.url == reverse("recount-count", args=[recount.pk, rolls[0].code])
    assert client.get(answer.url).context["form"]["place"].value() == place.pk


@pytest.mark.parametrize(("typed", "words"), [("banana", "one character is wrong"), ("B000008", "No roll here has")])
def test_wrong_code_is_named(client, clerk, recount, typed, words):
    client.force_login(clerk)
    assert words in client.post(recount.get_absolute_url(), {"code": typed}).content.decode()


def test_looks_right_needs_nothing_typed(send, recount, rolls):
    answer = send(rolls[0], looks_right="1", gross="nonsense")
    entry = RecountEntry.objects.get()
    assert answer.url == recount.get_absolute_url()
    assert (entry.how, entry.booked_mm, entry.length_mm) == ("looks_right", 50_000, 50_000)


def test_measured_roll_waits_for_the_closing(send, rolls):
    send(rolls[0], tape="47.5", set="1")
    assert RecountEntry.objects.get().length_mm == 47_500
    assert (lengths(rolls)[0], Measurement.objects.count()) == (50_000, 0)


def test_readings_are_worked_out_before_they_count(send, rolls):
    answer = send(rolls[0], tape="47.5")
    assert "Count it as 47.50 m" in answer.content.decode()
    assert not RecountEntry.objects.exists()


def test_readings_that_contradict_the_ledger_do_not_count(send, rolls):
    answer = send(rolls[0], gross="10", tube="1.6", set="1")
    assert "Lay the roll on the table and tape it" in answer.content.decode()
    assert not RecountEntry.objects.exists()


def test_second_look_replaces_the_first_and_says_whose_it_was(client, send, recount, rolls):
    send(rolls[0], looks_right="1")
    cora = make_person("cora", "clerk")
    client.force_login(cora)
    page = client.get(reverse("recount-count", args=[recount.pk, rolls[0].code])).content.decode()
    assert "Counted by carla" in page
    send(rolls[0], tape="47.5", set="1")
    entry = RecountEntry.objects.get()
    assert (entry.by, entry.how) == (cora, "measured")


def test_roll_cut_while_it_is_counted_is_not_counted(send, rolls, laminator):
    ledger.record_cut(roll=rolls[0], length_mm=1_000, by=laminator, at=NOON, key=new_key())
    answer = send(rolls[0], tape="47.5", set="1")
    assert "cut 1.00 m by luis" in answer.content.decode()
    assert not RecountEntry.objects.exists()


def test_round_goes_on_where_another_left_it(client, send, recount, rolls):
    send(rolls[0], looks_right="1")
    client.force_login(make_person("cora", "clerk"))
    page = client.get(recount.get_absolute_url()).content.decode()
    assert '<span class="big-figure">2</span> of 3 left to find.' in page


def test_findings_name_off_missing_elsewhere_and_their_worth(send, recount, rolls):
    other = make_place("Rack B2")
    send(rolls[0], tape="47.5", set="1", place=other.pk)
    send(rolls[1], tape="39.5", set="1", place=rolls[1].place_id)
    found = findings_of(recount)
    assert [finding.roll for finding in found.off] == [rolls[0]]
    assert [finding.roll for finding in found.corrected] == [rolls[1]]
    assert [finding.roll for finding in found.elsewhere] == [rolls[0]]
    assert found.missing == [rolls[2]]
    assert (found.worth, found.missing_worth) == (Decimal("-7.5"), Decimal("75"))


@pytest.mark.parametrize(
    ("booked_mm", "counted_mm", "off"),
    [(100_000, 98_001, False), (100_000, 97_999, True), (10_000, 9_001, False), (10_000, 8_999, True)],
)
def test_off_is_beyond_the_share_and_the_length(clerk, recount, rolls, booked_mm, counted_mm, off):
    entry = {"booked_mm": booked_mm, "length_mm": counted_mm, "how": "measured", "by": clerk, "at": NOON}
    RecountEntry.objects.create(round=recount, roll=rolls[0], **entry)
    assert [bool(finding.is_off) for finding in findings_of(recount).counted] == [off]


def test_roll_that_came_during_the_round_is_not_missed(recount, clerk, kind):
    later = timezone.now() + datetime.timedelta(minutes=5)
    make_roll(by=clerk, reinforcement=kind, at=later)
    assert len(findings_of(recount).missing) == 3


def test_closing_posts_corrections_moves_and_losses_at_once(client, send, recount, rolls):
    other = make_place("Rack B2")
    send(rolls[0], tape="47.5", set="1", place=other.pk)
    send(rolls[1], looks_right="1")
    answer = close(client, recount, gone=[rolls[2].pk])
    recount.refresh_from_db()
    assert said(answer).endswith("Round closed: 1 measured, 1 moved, 1 booked as gone.")
    assert (recount.state, lengths(rolls)) == ("closed", [47_500, 40_000, 0])
    assert Roll.objects.get(pk=rolls[0].pk).place == other
    assert sorted(Measurement.objects.values_list("method", flat=True)) == ["missing", "tape"]
    line = rolls[0].movements.get(kind="recount")
    assert line.reason == f"recount of {recount.started_at:%Y-%m-%d}, counted by carla"


def test_roll_found_where_a_rule_forbids_it_is_booked_there_all_the_same(client, send, recount, rolls, kind):
    type(kind).objects.filter(pk=kind.pk).update(fibre="aramid")
    window = make_place("Window", in_daylight=True)
    send(rolls[0], looks_right="1", place=window.pk)
    close(client, recount)
    assert Roll.objects.get(pk=rolls[0].pk).place == window


def test_unticked_missing_roll_stays_as_booked(client, send, recount, rolls):
    close(client, recount)
    assert lengths(rolls) == [50_000, 40_000, 30_000]


def test_what_was_cut_after_the_count_stays_cut(client, send, recount, rolls, laminator):
    send(rolls[0], tape="47.5", set="1")
    at = timezone.now() + datetime.timedelta(minutes=1)
    ledger.record_cut(roll=rolls[0], length_mm=3_000, by=laminator, at=at, key=new_key())
    close(client, recount)
    assert lengths(rolls)[0] == 44_500


def test_round_is_closed_once(client, send, recount, rolls):
    send(rolls[0], tape="47.5", set="1")
    close(client, recount)
    lines = Movement.objects.count()
    close(client, recount)
    assert Movement.objects.count() == lines
    with pytest.raises(actions.RoundOver):
        actions.close_round(recount=recount, gone=[], by=recount.started_by, at=NOON)


def test_nothing_is_posted_when_the_last_move_is_refused(client, send, recount, rolls, clerk):
    other = make_place("Rack B2")
    send(rolls[0], tape="47.5", set="1", place=other.pk)
    taken = f"round:{recount.pk}:move:{rolls[0].pk}"
    ledger.move_roll(roll=rolls[1], place=other, by=clerk, at=NOON, key=taken)
    answer = close(client, recount)
    recount.refresh_from_db()
    assert said(answer).endswith("Nothing was changed.")
    assert (recount.state, lengths(rolls)[0], Measurement.objects.count()) == ("open", 50_000, 0)


def test_round_given_up_changes_nothing(client, send, recount, rolls):
    send(rolls[0], tape="47.5", set="1")
    client.post(reverse("recount-close", args=[recount.pk]), {"drop": "1"})
    recount.refresh_from_db()
    assert (recount.state, lengths(rolls)[0]) == ("dropped", 50_000)


def test_counting_into_a_closed_round_says_so(client, send, recount, rolls):
    close(client, recount)
    answer = send(rolls[0], looks_right="1")
    assert (answer.url, "closed meanwhile" in said(answer)) == (reverse("recount"), True)


def test_closed_round_shows_what_was_counted(client, send, recount, rolls):
    send(rolls[0], tape="47.5", set="1")
    close(client, recount)
    page = client.get(recount.get_absolute_url()).content.decode()
    assert rolls[0].code in page
    assert "47.50 m" in page
    assert "1 roll counted, differences worth -6.25 EUR." in page
    assert "Not found, booked out" not in page


def test_closed_round_shows_what_was_booked_out_and_its_worth(client, send, recount, rolls):
    close(client, recount, gone=[rolls[2].pk])
    page = client.get(recount.get_absolute_url()).content.decode()
    assert "mat 450, 30.00 m, worth 75.00 EUR" in page


@pytest.mark.parametrize(("role", "status"), [("clerk", 200), ("owner", 200), ("laminator", 403), ("outsider", 403)])
def test_only_the_store_counts(client, request, recount, rolls, role, status):
    client.force_login(request.getfixturevalue(role))
    for address in (
        reverse("recount"),
        recount.get_absolute_url(),
        reverse("recount-close", args=[recount.pk]),
        reverse("recount-count", args=[recount.pk, rolls[0].code]),
    ):
        assert client.get(address).status_code == status
    if status == 403:
        assert client.post(reverse("recount-close", args=[recount.pk]), {"close": "1"}).status_code == 403
        assert RecountRound.objects.get().state == "open"


@pytest.mark.parametrize("many", [1, 3])
def test_pages_of_a_round_ask_the_database_the_same_for_one_and_three(
    client, clerk, kind, recount, rolls, django_assert_max_num_queries, many
):
    for roll in rolls[many:]:
        ledger.return_roll(roll=roll, reason="back", by=clerk, at=NOON, key=new_key())
    for roll in rolls[:many]:
        wish = {"place": None, "outcome": None, "seen_mm": roll.length_mm, "by": clerk, "at": NOON}
        actions.count(recount=recount, roll=roll, **wish)
    client.force_login(clerk)
    with django_assert_max_num_queries(14):
        client.get(recount.get_absolute_url())
    with django_assert_max_num_queries(11):
        client.get(reverse("recount-close", args=[recount.pk]))
