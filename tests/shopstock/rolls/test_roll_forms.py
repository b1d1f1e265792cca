"""The forms about one roll: what each writes, what it refuses, and who may send it."""

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Movement, Roll
from shopstock.queries import usable_rolls
from tests.factories import NOON, make_place, make_roll, new_key


@pytest.fixture
def roll(clerk) -> Roll:
    """20 m, of which 3 m were cut from 23 m."""
    roll = make_roll(by=clerk, length_mm=23_000)
    ledger.record_cut(roll=roll, length_mm=3_000, by=clerk, at=NOON, key=new_key())
    roll.refresh_from_db()
    return roll


@pytest.fixture
def send(client, roll, owner):
    client.force_login(owner)

    def send(name: str, *more, key="tap", **typed):
        return client.post(reverse(f"roll-{name}", args=[roll.code, *more]), {"key": key, **typed})

    return send


def said(answer) -> str:
    return " ".join(str(message) for message in get_messages(answer.wsgi_request))


def last_line(roll) -> tuple:
    line = roll.movements.first()
    return line.kind, line.delta_mm, line.balance_after_mm, line.reason


def refused(answer) -> dict:
    return {name: list(errors) for name, errors in answer.context["form"].errors.items()}


def promise(roll, length_mm, by, purpose="Hull 7"):
    return ledger.set_aside(promises=[ledger.Promise(roll, length_mm, purpose)], by=by, at=NOON)[0]


def test_fault_is_marked_from_the_free_end(send, roll):
    answer = send("fault", cause="wet", start="2", end="2.5", note="drip")
    fault = roll.faults.get()
    assert answer.url == roll.get_absolute_url()
    assert (fault.cause, fault.from_mm, fault.to_mm, fault.note) == ("wet", 17_500, 18_000, "drip")
    assert said(answer) == "Wet noted, 2.00 m to 2.50 m from the free end."


def test_fault_without_an_end_is_a_line_kept_clear_to_both_sides(send, roll):
    send("fault", cause="splice", start="2")
    assert roll.faults.values_list("from_mm", "to_mm").get() == (17_950, 18_050)


def test_fault_across_a_promise_says_what_must_be_planned_again(send, roll, owner):
    promise(roll, 19_000, owner)
    answer = send("fault", cause="wet", start="2", end="2.5")
    assert "It cannot give any more what was set aside for Hull 7: plan that again." in said(answer)


def test_fault_can_be_cleared_once_with_a_reason(send, roll, owner):
    ledger.report_fault(roll=roll, fault=FoundFault(0, 500, "dust"), by=owner, at=NOON, key=new_key())
    fault = roll.faults.get()
    send("fault-clear", fault.pk, reason="brushed off")
    roll.refresh_from_db()
    assert (roll.faulty_mm, last_line(roll)) == (0, ("fault_cleared", 0, 20_000, "dust: brushed off"))
    again = send("fault-clear", fault.pk, key="tap-2", reason="twice")
    assert refused(again) == {"__all__": ["That fault was already cleared."]}


def test_quarantined_roll_is_offered_to_no_plan_until_released(send, roll):
    send("quarantine", reason="smells of oil")
    assert list(usable_rolls(roll.reinforcement)) == []
    send("release", key="tap-2", reason="was the floor")
    assert list(usable_rolls(roll.reinforcement)) == [roll]


def test_quarantine_twice_is_refused_with_the_first_reason(send, roll):
    send("quarantine", reason="smells of oil")
    assert (
        "is already quarantined (smells of oil)" in refused(send("quarantine", key="b", reason="again"))["__all__"][0]
    )


def test_move_changes_place_and_lie(send, roll):
    place = make_place("Rack B2")
    assert said(send("move", place=place.pk, lying="flat")) == "Now at Rack B2, lying on a shelf."
    roll.refresh_from_db()
    assert (roll.place, roll.lying) == (place, "flat")


def test_folded_roll_does_not_become_sound_by_moving_it(send, roll):
    Roll.objects.filter(pk=roll.pk).update(lying="folded")
    answer = send("move", place=make_place("Rack B2").pk, lying="core")
    assert refused(answer)["lying"] == [
        "It lay folded. Say under “Found folded” what is done with it, and how it lies now."
    ]
    send("move", place=make_place("Rack B2").pk, lying="folded")
    roll.refresh_from_db()
    assert (roll.place.name, roll.lying) == ("Rack B2", "folded")


def test_cut_away_is_a_loss_with_its_reason(send, roll):
    answer = send("loss", length="1.2", cause="outer_layers", note="grinding dust")
    assert last_line(roll) == ("loss", -1_200, 18_800, "outer layers stripped: grinding dust")
    assert said(answer) == "1.20 m cut away, 18.80 m left."


def test_cutting_away_what_is_promised_is_refused_and_keeps_what_was_typed(send, roll, owner):
    promise(roll, 19_000, owner)
    answer = send("loss", length="2", cause="sample")
    assert "is set aside for Hull 7" in refused(answer)["__all__"][0]
    assert answer.context["form"]["length"].value() == "2"


def test_offcut_is_kept_as_stock_of_its_own(send, roll):
    answer = send("offcut", length="1.2", width="400")
    piece = roll.offcuts.get()
    assert answer.url == piece.get_absolute_url()
    assert (piece.length_mm, piece.width_mm, piece.lot, piece.place) == (1_200, 400, roll.lot, roll.place)


def test_line_is_taken_back_with_a_new_line(send, roll):
    line = roll.movements.get(kind="cut")
    answer = send("take-back", line.pk, reason="was another roll")
    assert last_line(roll) == ("correction", 3_000, 23_000, "was another roll")
    assert said(answer) == "Taken back: 23.00 m on the roll."


def test_split_entered_by_mistake_is_taken_back_on_its_page(client, send, roll, owner):
    second = ledger.split_roll(roll=roll, length_mm=3_000, by=owner, at=NOON, key=new_key())
    line = second.movements.get()
    page = client.get(reverse("roll-take-back", args=[second.code, line.pk])).content.decode()
    assert f"It was wound off {roll.code}. Both rolls are again what they were before." in page
    client.post(reverse("roll-take-back", args=[second.code, line.pk]), {"key": "k", "reason": "never wound"})
    roll.refresh_from_db()
    assert (roll.length_mm, Roll.objects.get(pk=second.pk).length_mm) == (20_000, 0)


FORMS = {
    "fault": {"cause": "wet", "start": "2", "end": "3"},
    "quarantine": {"reason": "wet"},
    "move": {"lying": "flat"},
    "loss": {"length": "1", "cause": "sample"},
    "offcut": {"length": "1", "width": "500"},
}


def filled(name: str) -> dict:
    return FORMS[name] | ({"place": make_place().pk} if name == "move" else {})


@pytest.mark.parametrize("name", FORMS)
def test_form_sent_twice_is_one_line(send, name):
    typed = filled(name)
    first = send(name, **typed)
    lines, rolls = Movement.objects.count(), Roll.objects.count()
    second = send(name, **typed)
    assert (second.url, Movement.objects.count(), Roll.objects.count()) == (first.url, lines, rolls)


@pytest.mark.parametrize("name", FORMS)
def test_empty_form_is_refused_field_by_field(send, name):
    before = Movement.objects.count()
    answer = send(name)
    assert answer.status_code == 200
    assert set(refused(answer)) >= set(FORMS[name]) - {"end"}
    assert Movement.objects.count() == before


@pytest.mark.parametrize(
    ("name", "typed", "field", "message"),
    [
        ("fault", {"start": "20"}, "start", "There are 20.00 m on the roll: start before that."),
        ("fault", {"end": "20.1"}, "end", "There are 20.00 m on the roll: end there at the latest."),
        ("fault", {"end": "1"}, "end", "It ends before it starts: both are measured from the free end."),
        ("fault", {"end": "x"}, "end", "“x” is not a number with a unit. Write it like 12.5 m."),
        ("fault", {"cause": "moths"}, "cause", "“moths” is not in the list. Choose one that is."),
        ("loss", {"length": "0"}, "length", "“0” is too little. Enter at least 1 mm."),
        ("loss", {"cause": "other"}, "note", "Say in a few words why it was cut away."),
        ("loss", {"length": "20.1"}, "__all__", None),
        ("offcut", {"width": "1251"}, "width", "The roll is 1250 mm wide; no piece of it is wider."),
        (
            "offcut",
            {"length": "3.1"},
            "length",
            "The longest cut booked from this roll is 3.00 m. Book the cut first.",
        ),
        ("quarantine", {"reason": "   "}, "reason", "Fill this in."),
    ],
)
def test_bad_input_is_named_beside_its_field(send, roll, name, typed, field, message):
    before = Movement.objects.count()
    answer = send(name, **(filled(name) | typed))
    message = message or (
        f"roll {roll.code} has 20.00 m left; 20.10 m is more than that. "
        "Check the length you typed. If the cloth is really there, ask for a recount first."
    )
    assert (refused(answer), Movement.objects.count()) == ({field: [message]}, before)


def test_offcut_of_an_uncut_roll_is_refused(client, clerk):
    client.force_login(clerk)
    whole = make_roll(by=clerk)
    answer = client.post(reverse("roll-offcut", args=[whole.code]), {"key": "k", "length": "1", "width": "500"})
    assert refused(answer) == {"length": ["No cut was booked from this roll yet. Book the cut first."]}


EVERYBODY, OWNER = {"clerk", "laminator", "owner"}, {"owner"}
MAY = {
    "fault": EVERYBODY,
    "quarantine": EVERYBODY,
    "move": EVERYBODY,
    "loss": EVERYBODY,
    "offcut": EVERYBODY,
    "release": OWNER,
    "fault-clear": OWNER,
    "take-back": OWNER,
}


@pytest.mark.parametrize("role", ["clerk", "laminator", "owner", "outsider"])
@pytest.mark.parametrize("name", MAY)
def test_each_form_is_open_to_its_roles_only(client, request, roll, clerk, name, role):
    ledger.report_fault(roll=roll, fault=FoundFault(9_000, 9_500, "dust"), by=clerk, at=NOON, key=new_key())
    if name == "release":
        ledger.quarantine(roll=roll, reason="wet", by=clerk, at=NOON, key=new_key())
    more = {"fault-clear": [roll.faults.get().pk], "take-back": [roll.movements.get(kind="cut").pk]}.get(name, [])
    typed = filled(name) if name in FORMS else {"reason": "looked at"}
    before = Movement.objects.count()
    client.force_login(request.getfixturevalue(role))
    address = reverse(f"roll-{name}", args=[roll.code, *more])
    allowed = role in MAY[name]
    assert client.get(address).status_code == (200 if allowed else 403)
    assert client.post(address, {"key": "tap", **typed}).status_code == (302 if allowed else 403)
    assert Movement.objects.count() == before + allowed


def test_line_of_another_roll_is_not_found(send, clerk):
    other = make_roll(by=clerk).movements.get()
    assert send("take-back", other.pk, reason="x").status_code == 404
