"""Pages that do something with a whole roll: what each writes, what it refuses, who may."""

import datetime

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Movement, Roll
from tests.factories import NOON, make_reinforcement, make_roll, make_supplier, new_key
from tests.shopstock.pictures import phone_photo, upload


@pytest.fixture
def roll(clerk) -> Roll:
    return make_roll(by=clerk, length_mm=20_000)


@pytest.fixture
def send(client, roll, owner):
    client.force_login(owner)

    def send(name: str, key="tap", **typed):
        return client.post(reverse(f"roll-{name}", args=[roll.code]), {"key": key, **typed})

    return send


def refused(answer) -> dict:
    return {name: list(errors) for name, errors in answer.context["form"].errors.items()}


def said(answer) -> str:
    return " ".join(str(message) for message in get_messages(answer.wsgi_request))


def test_split_makes_a_second_roll_and_opens_it(send, roll):
    answer = send("split", length="8", tube="1.2")
    second = Roll.objects.exclude(pk=roll.pk).get()
    assert answer.url == second.get_absolute_url()
    assert (second.length_mm, second.tube_g, said(answer)) == (
        8_000,
        1_200,
        f"8.00 m of {roll.code} are roll {second.code} now. Label it.",
    )


def test_all_of_a_roll_is_no_split(send, roll):
    assert "Wind off less" in refused(send("split", length="20"))["__all__"][0]


def test_join_takes_a_scanned_label(send, roll, clerk):
    other = make_roll(by=clerk, reinforcement=roll.reinforcement, length_mm=5_000)
    answer = send("join", other=f"HTTPS://STORE.LAN/R/{other.code}")
    roll.refresh_from_db()
    assert roll.length_mm == 25_000
    assert said(answer) == f"5.00 m of {other.code} wound on, with a splice where they meet."


@pytest.mark.parametrize(
    ("typed", "words"), [("banana", "is not a code of this shop"), ("B000008", "No roll here has")]
)
def test_join_with_what_is_no_roll_is_refused(send, typed, words):
    assert words in refused(send("join", other=typed))["other"][0]


def test_other_cloth_is_not_joined(send, clerk):
    other = make_roll(by=clerk, reinforcement=make_reinforcement("other cloth"))
    assert "keep them apart" in refused(send("join", other=other.code))["__all__"][0]


def test_return_names_the_supplier_and_what_must_be_planned_again(client, send, clerk, owner):
    back = make_roll(by=clerk, supplier=make_supplier())
    ledger.set_aside(promises=[ledger.Promise(back, 3_000, "Hull 7")], by=owner, at=NOON)
    answer = client.post(reverse("roll-return", args=[back.code]), {"key": "k", "reason": "wet inside"})
    assert said(answer) == "50.00 m go back. It cannot give any more what was set aside for Hull 7: plan that again."
    assert back.movements.get(kind="return").reason == "to Northern Fabrics: wet inside"


def test_outer_layers_by_length_are_a_named_loss(send, roll):
    send("layers", why="dust", length="2.4")
    line = roll.movements.get(kind="loss")
    assert (line.delta_mm, line.cause, line.reason) == (
        -2_400,
        "outer_layers",
        "outer layers stripped: dust of grinding",
    )


def test_outer_layers_by_count_become_a_length(send, roll):
    send("layers", why="water", layers="3", outer="262", thickness="1.18")
    line = roll.movements.get(kind="loss")
    assert (line.delta_mm, line.reason) == (-2_436, "outer layers stripped: water, 3 layers")


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({}, "length", "how long the stripped piece is"),
        ({"layers": "3"}, "outer", "needed too"),
        ({"layers": "150", "outer": "262", "thickness": "1.18"}, "layers", "measure again"),
    ],
)
def test_layers_without_a_length_are_refused(send, typed, field, words):
    assert words in refused(send("layers", why="dust", **typed))[field][0]


def test_fold_page_says_what_folding_does_to_this_cloth(client, send, clerk):
    carbon = make_roll(by=clerk, reinforcement=make_reinforcement("carbon twill", form="cloth", fibre="carbon"))
    page = client.get(reverse("roll-fold", args=[carbon.code])).content.decode()
    assert "A fold crushes and twists the tows" in page


def test_fold_decision_is_kept_and_shown(client, send, roll):
    send("fold", decision="downgraded", lying="flat", note="mould covers")
    roll.refresh_from_db()
    page = client.get(reverse("roll-fold", args=[roll.code])).content.decode()
    assert roll.grade == "non_structural"
    assert "olga: for non-structural parts only: mould covers" in page


@pytest.mark.parametrize(("decision", "open_after"), [("downgraded", 0), ("claimed", 0), ("unrolled", 1)])
def test_fold_decision_gives_back_what_sound_cloth_was_set_aside_for(send, owner, roll, decision, open_after):
    ledger.set_aside(promises=[ledger.Promise(roll, 3_000, "Hull 7")], by=owner, at=NOON)
    answer = send("fold", decision=decision, lying="flat", note="seen flat")
    assert ("what was set aside for Hull 7: plan that again." in said(answer)) == (not open_after)
    roll.refresh_from_db()
    assert (roll.set_asides.filter(state="open").count(), roll.set_aside_mm) == (open_after, 3_000 * open_after)


def test_unrolled_cloth_has_its_creases_marked_or_a_word_why_not(send, owner, roll):
    assert "No crease is marked on it yet" in refused(send("fold", decision="unrolled", lying="core"))["note"][0]
    ledger.report_fault(roll=roll, fault=FoundFault(2_000, 2_100, "crease"), by=owner, at=NOON, key=new_key())
    assert said(send("fold", decision="unrolled", lying="core")).startswith("Decided: unrolled flat")


def test_downgrade_is_lifted_by_the_owner_with_a_reason_alone(client, send, clerk, owner, roll):
    assert "decision" in refused(send("fold", decision="restored", lying="core", note="wrong roll"))
    send("fold", key="first", decision="downgraded", lying="core")
    assert "Say why" in refused(send("fold", decision="restored", lying="core"))["__all__"][0]
    client.force_login(clerk)
    assert "Only the owner" in refused(send("fold", decision="restored", lying="core", note="wrong roll"))["__all__"][0]
    client.force_login(owner)
    send("fold", decision="restored", lying="core", note="wrong roll")
    roll.refresh_from_db()
    assert (roll.grade, roll.movements.first().reason) == ("structural", "for any part again: wrong roll")


def test_unrolled_cloth_cannot_still_lie_folded(send, roll):
    assert (
        "does not lie folded any more"
        in refused(send("fold", decision="unrolled", lying="folded", note="-"))["__all__"][0]
    )


def test_offcut_is_binned_as_kept_too_long(client, owner, roll):
    ledger.record_cut(roll=roll, length_mm=2_000, by=owner, at=NOON, key=new_key())
    piece = ledger.record_offcut(parent=roll, width_mm=600, length_mm=2_000, by=owner, at=NOON, key=new_key())
    client.force_login(owner)
    for _ in range(2):
        client.post(reverse("roll-bin", args=[piece.code]), {"key": "k"})
    piece.refresh_from_db()
    line = piece.movements.get(kind="loss")
    assert (piece.is_open, line.cause, line.delta_mm) == (False, "old", -2_000)


def test_whole_roll_is_not_binned(send):
    assert send("bin").status_code == 404


def test_fault_photo_is_kept_without_its_position_and_served_as_a_jpeg(client, send, roll, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    send("fault", cause="oil", start="2", end="2.5", photo=upload(phone_photo(), "<script>.svg", "image/svg+xml"))
    fault = roll.faults.get()
    answer = client.get(reverse("fault-photo", args=[roll.code, fault.pk]))
    content = b"".join(answer.streaming_content)
    assert (answer["Content-Type"], answer["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert answer["Content-Disposition"] == f'inline; filename="{roll.code}-{fault.pk}.jpg"'
    assert content.startswith(b"\xff\xd8")
    assert b"Phone of somebody" not in content


def test_photo_sent_twice_is_kept_once(send, roll, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    for _ in range(2):
        send("fault", cause="oil", start="2", end="2.5", photo=upload(phone_photo()))
    assert (roll.faults.count(), len(list((tmp_path / "uploads").iterdir()))) == (1, 1)


def test_file_that_is_no_picture_is_refused_and_nothing_noted(send, roll):
    answer = send("fault", cause="oil", start="2", end="2.5", photo=upload(b"<html>", "a.jpg"))
    assert "is no picture" in refused(answer)["photo"][0]
    assert not roll.faults.exists()


def test_photo_of_a_fault_without_one_is_not_there(client, send, roll):
    send("fault", cause="oil", start="2", end="2.5")
    assert client.get(reverse("fault-photo", args=[roll.code, roll.faults.get().pk])).status_code == 404


def test_photo_is_for_people_with_a_role_only(client, roll, outsider, send):
    send("fault", cause="oil", start="2", end="2.5")
    client.force_login(outsider)
    assert client.get(reverse("fault-photo", args=[roll.code, roll.faults.get().pk])).status_code == 403


def test_fault_may_be_narrower_than_the_roll_and_is_drawn_so(client, send, roll):
    send("fault", cause="oil", start="2", end="3", across_from="300", across_to="600")
    fault = roll.faults.get()
    page = client.get(roll.get_absolute_url()).content.decode()
    assert (fault.across_from_mm, fault.across_to_mm) == (300, 600)
    assert "300 mm to 600 mm from the left edge" in page
    assert 'y="57" width="50" height="23"' in page


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"cause": "fold", "across_to": "300"}, "across_from", "A fold runs right across"),
        ({"across_from": "600", "across_to": "300"}, "across_to", "more than where it begins"),
        ({"across_to": "1300"}, "across_to", "The roll is 1250 mm wide"),
    ],
)
def test_width_that_cannot_be_is_refused(send, typed, field, words):
    assert words in refused(send("fault", **({"cause": "oil", "start": "2", "end": "3"} | typed)))[field][0]


def test_fault_over_another_is_asked_about_once(send, roll):
    send("fault", cause="oil", start="2", end="3")
    answer = send("fault", key="tap-2", cause="wet", start="2.5", end="4")
    assert refused(answer) == {
        "another": ["Oil is noted there already, 2.00 m to 3.00 m. Is this the same one? Then there is nothing to do."]
    }
    send("fault", key="tap-2", cause="wet", start="2.5", end="4", another="on")
    assert roll.faults.count() == 2


EVERYBODY, STORE = {"clerk", "laminator", "owner"}, {"clerk", "owner"}
MAY = {"split": EVERYBODY, "join": EVERYBODY, "return": STORE, "layers": EVERYBODY, "fold": STORE}


@pytest.mark.parametrize("role", ["clerk", "laminator", "owner", "outsider"])
@pytest.mark.parametrize("name", MAY)
def test_each_page_is_open_to_its_roles_only(client, request, roll, name, role):
    client.force_login(request.getfixturevalue(role))
    address, expected = reverse(f"roll-{name}", args=[roll.code]), 200 if role in MAY[name] else 403
    before = Movement.objects.count()
    assert client.get(address).status_code == expected
    assert client.post(address, {"key": "k"}).status_code == expected
    assert Movement.objects.count() == before


def test_keeping_time_is_shown_on_the_page_for_binning(client, send, roll, owner):
    ledger.record_cut(roll=roll, length_mm=2_000, by=owner, at=NOON, key=new_key())
    piece = ledger.record_offcut(parent=roll, width_mm=600, length_mm=2_000, by=owner, at=NOON, key=new_key())
    due = NOON.date() + datetime.timedelta(days=270)
    assert f"looked at again from {due}" in client.get(reverse("roll-bin", args=[piece.code])).content.decode()
