"""Cut tickets and labels of the cut pieces, from a confirmed plan to the paper."""

import ctypes
import datetime
import io

import pypdfium2
import pytest
from django.urls import reverse

from jobs.models import CuttingPlan
from labels.drawing.ticket import tickets_pdf
from labels.media import offered
from labels.models import LabelPrint, LabelWish, PrintMedium
from labels.sheets.wanted import wanted_labels
from labels.tickets.kits import cut_pieces
from labels.wishes import wish_for
from shopstock import ledger
from shopstock.calc.strip_picture import Span
from shopstock.models import Shop
from shopstock.tickets import CutBlank, Ticket, TicketStep, tickets_of
from tests.factories import NOON, make_reinforcement, make_roll, make_sure, new_key
from tests.jobs.factories import confirmed, make_job, make_part, make_ply
from tests.labels.reading import texts

SHEET = {"medium": "a4-3-x-7-labels-of-63-5-x-38-1-mm"}


def blank(number: int, part: str = "Hull") -> CutBlank:
    return CutBlank(f"{part} {number}a", part, number, 1_200, 400, 0, 0)


def ticket(**changes) -> Ticket:
    values = {
        "code": "B000008",
        "kind": "roll",
        "reinforcement": "Woven roving 600",
        "lot": "L1",
        "place": "Rack A1",
        "job": "Dinghy",
        "cut_on": datetime.date(2026, 3, 5),
        "length_mm": 20_000,
        "width_mm": 1_250,
        "steps": (
            TicketStep(None, 0, 600, why="crease"),
            TicketStep(1, 600, 1_300, blanks=(blank(7), blank(2, "Deck")), offcuts=((400, 1_200),)),
        ),
        "faults": (Span(0, 600, "crease"),),
    }
    return Ticket(**(values | changes))


@pytest.fixture
def printed():
    def make(*tickets):
        return pypdfium2.PdfDocument(tickets_pdf(tickets, address="https://store.lan", units="metric"))

    return make


def words_on(page) -> str:
    return " ".join(page.get_textpage().get_text_range().split())


def test_ticket_tells_the_order_of_cutting_and_what_to_do_at_the_fault(printed):
    text = words_on(printed(ticket())[0])
    for part in (
        "Cut ticket: Dinghy",
        "B00 0008",
        "Woven roving 600",
        "Rack A1",
        "1. Cut away 600 mm",
        "Because of: crease.",
        "2. Strip 1: cut 1.30 m",
        "Ply 7, Hull 7a",
        "1200 mm × 400 mm",
        "Keep as offcut: 1.20 m × 400 mm. Label it.",
    ):
        assert part in text
    assert text.index("Cut away") < text.index("Strip 1")


def test_ticket_says_how_each_piece_lies_which_way_angles_count_and_what_must_be_settled(printed):
    slanted = CutBlank("Hull 1", "Hull", 1, 1_200, 400, 0, 0, lies_at="−45°")
    marked = ticket(
        steps=(TicketStep(1, 0, 1_300, blanks=(slanted,)),),
        angle_sense="clockwise, seen on the tool side",
        marks=("Do not cut: mat 600 in place of roving 600 waits for the designer (class C).",),
    )
    text = words_on(printed(marked)[0])
    for part in ("Hull 1, at −45°", "Ply angles count clockwise, seen on the tool side.", *marked.marks):
        assert part in text


def test_codes_at_two_corners_of_each_page_open_its_roll(printed):
    document = printed(ticket(steps=tuple(TicketStep(n, 1_300 * n, 1_300, blanks=(blank(n),)) for n in range(1, 7))))
    assert [texts(page.render(scale=3).to_pil()) for page in document] == [2 * ["HTTPS://STORE.LAN/R/B000008"]] * 3


def test_what_must_be_settled_is_never_cut_short(printed):
    mark = "Do not cut: Chopped strand mat 450 in place of Woven roving 600, E-glass, waits for the designer (class C)."
    assert mark in words_on(printed(ticket(marks=(mark,)))[0])


def test_ticket_is_a_page_of_a4_for_each_roll_and_more_where_one_is_full(printed):
    long = ticket(steps=tuple(TicketStep(n, 1_300 * n, 1_300, blanks=(blank(n),)) for n in range(1, 9)))
    document = printed(ticket(), long)
    assert {tuple(round(side * 25.4 / 72) for side in page.get_size()) for page in document} == {(210, 297)}
    assert len(document) > 2
    assert "continued" in words_on(document[2])


def lines_drawn(page) -> list[list[tuple[int, int]]]:
    """Each path of a page as its corners, in whole mm from its first one."""
    found = []
    for path in page.get_objects([pypdfium2.raw.FPDF_PAGEOBJ_PATH]):
        corners = []
        for number in range(pypdfium2.raw.FPDFPath_CountSegments(path)):
            x, y = ctypes.c_float(), ctypes.c_float()
            segment = pypdfium2.raw.FPDFPath_GetPathSegment(path, number)
            pypdfium2.raw.FPDFPathSegment_GetPoint(segment, x, y)
            corners.append((x.value * 25.4 / 72, y.value * 25.4 / 72))
        found.append([(round(x - corners[0][0]), round(y - corners[0][1])) for x, y in corners])
    return found


def test_piece_with_an_outline_is_drawn_as_it_is_cut(printed):
    """A strip of 1.86 m is drawn at a tenth: a gusset of 400 by 200 mm has sides of 40 and 20 mm."""
    gusset = CutBlank("Gusset", "Hull", 1, 400, 200, 0, 0, outline=((0, 0), (400, 0), (0, 200)))
    strip = TicketStep(1, 0, 1_860, blanks=(gusset, blank(2)))
    drawn = lines_drawn(printed(ticket(width_mm=400, steps=(strip,)))[0])
    assert [(0, 0), (40, 0), (0, 20)] in [line[:3] for line in drawn]
    assert [(0, 0), (120, 0), (120, 40), (0, 40)] in [line[:4] for line in drawn]


def test_fault_of_part_of_the_width_is_hatched_where_it_lies_and_named_with_its_strip(printed):
    """A strip of 1.86 m is drawn at a tenth: a streak of 300 by 100 mm is 30 mm long and 10 mm high."""
    streak = Span(1_000, 1_300, "wet", across_mm=(250, 350))
    strip = TicketStep(1, 600, 1_860, blanks=(CutBlank("Hull 1", "Hull", 1, 300, 200, 0, 0),), beside=(streak,))
    page = printed(ticket(width_mm=400, steps=(strip,), faults=(streak,)))[0]
    assert "Beside the pieces: wet, 250 mm to 350 mm from the left edge. Lay nothing there." in words_on(page)
    assert [(0, 0), (30, 0), (30, 10), (0, 10)] in [line[:4] for line in lines_drawn(page)]


def test_strip_of_more_pieces_than_a_page_has_lines_goes_on_on_the_next(printed):
    strip = TicketStep(1, 0, 1_300, blanks=tuple(blank(number) for number in range(1, 71)))
    document = printed(ticket(steps=(strip,)))
    text = " ".join(words_on(page) for page in document)
    assert all(f"Ply {number}, Hull {number}a" in text for number in range(1, 71))
    for page in document:
        assert min(drawn.get_bounds()[1] for drawn in page.get_objects(max_depth=1)) > 10 * 72 / 25.4


def test_labels_of_the_pieces_come_ply_by_ply_and_name_the_ply_largest(db):
    labels = [piece.label(Shop.current()) for piece in cut_pieces([ticket()])]
    assert [(label.part, label.ply, label.piece) for label in labels] == [
        ("Deck", "Ply 2", "Deck 2a"),
        ("Hull", "Ply 7", "Hull 7a"),
    ]
    assert {label.payload for label in labels} == {"HTTP://127.0.0.1:8000/R/B000008"}


def test_mat_has_no_warp_on_the_label_of_its_piece(db):
    piece = cut_pieces([ticket(has_warp=False)])[0]
    assert piece.label(Shop.current()).warp_along is None


@pytest.fixture
def plan(clerk, laminator, owner, outsider, settings, tmp_path) -> CuttingPlan:
    """Two rolls to cut from; the first strip is cut."""
    settings.DATA_DIR = tmp_path
    job = make_job(by=owner)
    for name, length_mm in (("Hull", 2_000), ("Deck", 1_400)):
        cloth = make_reinforcement(f"roving of the {name}")
        make_sure(make_roll(by=clerk, reinforcement=cloth, length_mm=20_000))
        make_ply(make_part(job, name), cloth, length_mm=length_mm, count=2)
    plan = confirmed(job, owner)
    first = plan.strips.first().set_aside
    ledger.record_cut(roll=first.roll, length_mm=first.length_mm, by=laminator, at=NOON, key=new_key(), set_aside=first)
    plan.people = {"clerk": clerk, "laminator": laminator, "owner": owner, "no role": outsider}
    return plan


def test_tickets_hold_every_piece_of_the_plan_once(plan):
    pieces = [piece for one in tickets_of(plan.pk) for piece in one.blanks]
    planned = [piece for strip in plan.strips.all() for piece in strip.blanks.all()]
    assert sorted(piece.name for piece in pieces) == sorted(piece.name for piece in planned)
    assert sum(step.done for one in tickets_of(plan.pk) for step in one.steps) == 1


def test_plan_that_does_not_exist_has_no_tickets(db, client, clerk):
    client.force_login(clerk)
    assert client.get(reverse("cut-tickets", args=[99])).status_code == 404


def test_pages_give_the_tickets_and_the_labels_of_the_pieces(plan, client):
    client.force_login(plan.people["laminator"])
    page = client.get(reverse("cut-tickets", args=[plan.pk])).content.decode()
    assert all(one.code in page for one in tickets_of(plan.pk))
    pieces = [piece for one in tickets_of(plan.pk) for piece in one.blanks]
    assert len(codes_in(client.get(reverse("cut-tickets-pdf", args=[plan.pk])))) == 2 * len(tickets_of(plan.pk))
    run = client.post(reverse("kit-labels-pdf", args=[plan.pk]), SHEET).url
    assert len(codes_in(client.get(f"{run}labels.pdf"))) == 2 * len(pieces)


def test_labels_of_pieces_are_written_down_and_are_no_labels_of_their_rolls(plan, client):
    client.force_login(plan.people["clerk"])
    row = offered_row()
    rolls = {one.code for one in tickets_of(plan.pk)}
    dying = wish_for(code=min(rolls), why=LabelWish.Why.DYING, by=plan.people["clerk"], at=NOON)
    before = {one.item.code for one in wanted_labels()}
    for _ in range(2):
        page = client.post(reverse("kit-labels-pdf", args=[plan.pk]), SHEET, follow=True)
    pieces = [piece for one in tickets_of(plan.pk) for piece in one.blanks]
    printed = LabelPrint.objects.filter(kind=LabelPrint.Kind.PIECE)
    assert [printed.filter(is_reprint=again).count() for again in (False, True)] == [len(pieces)] * 2
    assert PrintMedium.objects.get(pk=row.pk).first_free == (row.first_free - 1 + 2 * len(pieces)) % 21 + 1
    assert all(f"{piece.part}, ply {piece.ply_number}, {piece.name}" in page.content.decode() for piece in pieces)
    dying.refresh_from_db()
    assert dying.run is None
    assert {one.item.code for one in wanted_labels()} == before


def offered_row() -> PrintMedium:
    return next(row for row in offered() if row.key == SHEET["medium"])


def codes_in(answer) -> list[str]:
    document = pypdfium2.PdfDocument(io.BytesIO(answer.content))
    return [text for page in document for text in texts(page.render(scale=6).to_pil())]


def test_labels_on_a_sheet_too_small_say_so(plan, client):
    client.force_login(plan.people["laminator"])
    PrintMedium.objects.create(key="stamp", name="Stamps", page_w=20, page_h=20, label_w=20, label_h=20)
    for medium, words in (("napkin", "is not in the list"), ("stamp", "Stamps is too small for a kit label")):
        answer = client.post(reverse("kit-labels-pdf", args=[plan.pk]), {"medium": medium})
        assert words in str(answer.context["form"].errors)
    assert not LabelPrint.objects.filter(kind=LabelPrint.Kind.PIECE).exists()


def test_first_label_outside_the_sheet_says_so_and_keeps_what_was_chosen(plan, client):
    client.force_login(plan.people["laminator"])
    answer = client.post(reverse("kit-labels-pdf", args=[plan.pk]), SHEET | {"first": 22})
    assert "there is no label 22" in answer.content.decode()
    assert answer.context["form"]["first"].value() == "22"


@pytest.mark.parametrize(("name", "status"), [("cut-tickets", 200), ("cut-tickets-pdf", 200), ("kit-labels-pdf", 302)])
def test_tickets_are_for_everyone_in_the_shop_and_nobody_else(plan, client, name, status):
    statuses = []
    for role in ("clerk", "laminator", "owner", "no role"):
        client.force_login(plan.people[role])
        statuses.append(client.get(reverse(name, args=[plan.pk])).status_code)
    assert statuses == [status, status, status, 403]
