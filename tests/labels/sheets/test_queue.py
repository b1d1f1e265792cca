"""What is still to be printed, and what the store remembers of what was."""

import datetime
import os
import time

import pytest
from django.urls import reverse

from labels.models import LabelPrint, LabelWish, PrintMedium, PrintRun
from labels.sheets.wanted import wanted_labels
from labels.wishes import wish_for
from shopstock import ledger
from tests.factories import NOON, make_container, make_place, make_roll, new_key

from .conftest import pdf, read_pdf, sheet

LATER = NOON + datetime.timedelta(days=1)


def wanted() -> list[tuple[str, str]]:
    return [(one.item.code, one.why) for one in wanted_labels()]


def test_received_rolls_and_containers_want_a_label_until_it_is_printed(at_desk, clerk):
    roll, drum = make_roll(by=clerk), make_container(by=clerk)
    assert wanted() == [(roll.code, "received 2026-03-02"), (drum.code, "received 2026-03-02")]
    pdf(at_desk, [roll, drum])
    assert wanted() == []


def test_offcut_wants_a_label_and_is_called_one(at_desk, clerk):
    roll = make_roll(by=clerk)
    pdf(at_desk, [roll])
    offcut = ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_200, by=clerk, at=NOON, key=new_key())
    assert wanted() == [(offcut.code, "kept as offcut")]


def test_roll_that_was_moved_wants_a_label_with_its_new_place(at_desk, clerk):
    roll = make_roll(by=clerk, place=make_place("Rack A1"))
    pdf(at_desk, [roll])
    ledger.move_roll(roll=roll, place=make_place("Rack B2"), by=clerk, at=LATER, key=new_key())
    assert wanted() == [(roll.code, "moved to Rack B2")]
    pdf(at_desk, [roll])
    assert wanted() == []


def test_used_up_roll_wants_no_label(clerk):
    roll = make_roll(by=clerk, length_mm=900)
    ledger.record_cut(roll=roll, length_mm=900, by=clerk, at=NOON, key=new_key(), reason="Hull")
    assert wanted() == []


def test_label_asked_for_twice_is_wanted_once_and_first(at_desk, clerk, rolls):
    pdf(at_desk, rolls[1:])
    for _ in range(2):
        wish_for(code=rolls[2].code, why=LabelWish.Why.DYING, by=clerk, at=NOON)
    assert sorted(wanted()) == sorted(
        [(rolls[2].code, "hardly readable any more"), (rolls[0].code, "received 2026-03-02")]
    )
    pdf(at_desk, [rolls[2]])
    assert wanted() == [(rolls[0].code, "received 2026-03-02")]


def test_wish_can_be_dropped(at_desk, clerk, rolls):
    pdf(at_desk, rolls)
    wish_for(code=rolls[0].code, why=LabelWish.Why.ASKED, by=clerk, at=NOON)
    at_desk.post(reverse("label-wish-drop", args=[rolls[0].code]))
    assert wanted() == []


def test_second_print_of_a_label_is_recorded_as_a_reprint(at_desk, rolls):
    pdf(at_desk, rolls)
    pdf(at_desk, rolls[:1], copies=2)
    assert list(LabelPrint.objects.order_by("pk").values_list("code", "is_reprint")) == [
        *((roll.code, False) for roll in rolls),
        (rolls[0].code, True),
        (rolls[0].code, True),
    ]


def test_sticker_in_one_tap_is_recorded_too(at_desk, clerk, rolls):
    at_desk.get(reverse("roll-label-pdf", args=[rolls[0].code]))
    run = PrintRun.objects.get()
    assert (run.by, [line.code for line in run.labels.all()]) == (clerk, [rolls[0].code])


def test_sheet_that_came_out_wrong_is_wanted_again(at_desk, rolls):
    pdf(at_desk, rolls)
    at_desk.post(reverse("print-run-spoilt", args=[PrintRun.objects.get().pk]))
    assert [code for code, _ in wanted()] == [roll.code for roll in rolls]


def test_wish_comes_back_with_the_sheet_that_came_out_wrong(at_desk, clerk, rolls):
    pdf(at_desk, rolls)
    wish_for(code=rolls[0].code, why=LabelWish.Why.DYING, by=clerk, at=NOON)
    pdf(at_desk, rolls[:1])
    at_desk.post(reverse("print-run-spoilt", args=[PrintRun.objects.first().pk]))
    assert wanted() == [(rolls[0].code, "hardly readable any more")]


def test_started_sheet_goes_on_where_the_last_print_ended(at_desk, rolls):
    pdf(at_desk, rolls)
    assert sheet(at_desk, rolls).context["form"]["first"].value() == 4
    pdf(at_desk, rolls, first=20)
    assert PrintMedium.objects.get(key="a4-3-x-7-labels-of-63-5-x-38-1-mm").first_free == 2


def test_full_sheet_leaves_a_fresh_one(at_desk, rolls):
    pdf(at_desk, rolls, first=19)
    assert sheet(at_desk, rolls).context["form"]["first"].value() == 1


def test_twin_for_inside_the_tube_follows_its_roll_and_an_offcut_has_none(at_desk, clerk):
    roll = make_roll(by=clerk)
    offcut = ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_200, by=clerk, at=NOON, key=new_key())
    pages = read_pdf(pdf(at_desk, [roll, offcut], twins="on"))
    assert list(LabelPrint.objects.values_list("code", "kind")) == [
        (roll.code, "label"),
        (roll.code, "twin"),
        (offcut.code, "label"),
    ]
    assert len(pages[0]) == 6


def test_queue_page_shows_what_is_wanted_and_what_was_printed(at_desk, rolls):
    pdf(at_desk, rolls[:2])
    text = at_desk.get(reverse("label-queue")).content.decode()
    assert "received 2026-03-02" in text
    assert reverse("print-run", args=[PrintRun.objects.get().pk]) in text


@pytest.mark.parametrize("name", ["label-queue", "label-media", "label-medium-add"])
@pytest.mark.parametrize(("person", "status"), [("clerk", 200), ("laminator", 200), ("owner", 200), ("outsider", 403)])
def test_pages_are_open_to_every_role_and_nobody_else(client, request, name, person, status):
    client.force_login(request.getfixturevalue(person))
    assert client.get(reverse(name)).status_code == status


def test_many_labels_are_drawn_beside_the_page_which_tells_how_far(at_desk, rolls, monkeypatch):
    monkeypatch.setattr("labels.run_files.AT_ONCE", 5)
    answer = at_desk.post(reverse("label-sheet-pdf"), {"code": [roll.code for roll in rolls], "copies": 9})
    for _ in range(200):
        state = at_desk.get(answer.url, headers={"accept": "application/json"}).json()
        assert state["ready"] or 0 <= (state["drawn"] or 0) <= 27
        if state["ready"]:
            break
        time.sleep(0.05)
    assert [len(page) for page in read_pdf(at_desk.get(f"{answer.url}labels.pdf"))] == [42, 12]


def test_run_whose_drawing_was_broken_off_does_not_wait_for_ever(at_desk, rolls, settings):
    pdf(at_desk, rolls)
    run, folder = PrintRun.objects.get(), settings.DATA_DIR / "labels"
    (folder / f"run-{run.pk}.pdf").unlink()
    (folder / f"run-{run.pk}.json").write_text('{"drawn": 2}')
    address = reverse("print-run", args=[run.pk])
    assert "2 of 3 labels are drawn" in at_desk.get(address).content.decode()
    os.utime(folder / f"run-{run.pk}.json", (0, 0))
    assert "not kept any more" in at_desk.get(address).content.decode()


def test_run_whose_file_is_gone_leads_to_printing_again(at_desk, rolls, settings):
    pdf(at_desk, rolls)
    run = PrintRun.objects.get()
    (settings.DATA_DIR / "labels" / f"run-{run.pk}.pdf").unlink()
    page = at_desk.get(reverse("print-run-pdf", args=[run.pk]), follow=True).content.decode()
    assert "not kept any more" in page
    assert f"code={rolls[0].code}" in page


def test_list_of_wanted_labels_asks_the_database_as_often_for_more(at_desk, clerk, django_assert_num_queries):
    make_roll(by=clerk)
    with django_assert_num_queries(QUERIES):
        wanted_labels()
    for _ in range(2):
        make_roll(by=clerk)
    with django_assert_num_queries(QUERIES):
        assert len(wanted_labels()) == 3


QUERIES = 9
