"""The pages of an order: written from what is short, sent on paper, as a file or by mail, and booked as it comes."""

import re
from datetime import timedelta
from decimal import Decimal
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pypdfium2
import pytest
from django.urls import reverse

from shopstock.models import Delivery, Order, OrderLine
from shopstock.ordering import actions
from tests.factories import NOON, TODAY, make_chemical, make_container, make_reinforcement, make_roll, make_supplier
from tests.shopstock.demand_source import day


@pytest.fixture
def supplier(db):
    return make_supplier("Northern Fabrics", lead_time_days=14, email="orders@northern.example", freight=Decimal("40"))


@pytest.fixture
def roving(supplier):
    return make_reinforcement("Roving 600 & ±45 “plain”", supplier=supplier)


@pytest.fixture
def order(supplier, roving, owner):
    made = actions.new_order(supplier=supplier, expected_on=day(10), by=owner, at=NOON, key="first")
    size = {"width_mm": 1250, "length_mm": 50_000}
    OrderLine.objects.create(order=made, reinforcement=roving, packs=2, price=Decimal("1120"), reason="Hull", **size)
    resin = make_chemical("=Resin", supplier=supplier)
    OrderLine.objects.create(
        order=made, chemical=resin, pack_g=25_000, packs=1, price=Decimal("95.5"), reason="Deck", pk=None
    )
    made.note = "Ring the bell <twice>.\nNo lorries over 12 t."
    made.save()
    return made


@pytest.fixture
def coming(order, owner):
    return actions.mark_sent(order=actions.approve(order=order, by=owner, at=NOON), at=NOON)


@pytest.fixture
def page(client, owner):
    client.force_login(owner)

    def ask(name, *args, data=None, **more):
        address = reverse(name, args=args)
        return client.get(address, **more) if data is None else client.post(address, data, follow=True)

    return ask


def text(response) -> str:
    return unescape(response.content.decode())


def words_of(pdf: bytes) -> list[str]:
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]


# Written from what is short


def test_order_is_written_with_the_reason_of_each_line_for_the_day_it_is_needed(planned, page, supplier, roving):
    planned.short_of(roving, needed_on=day(21))
    said = page("order-write", supplier.pk, data={"key": "tap"})
    order, line = Order.objects.get(), OrderLine.objects.get()
    assert (order.state, order.expected_on, order.freight, order.currency) == ("draft", day(21), 40, "EUR")
    assert (line.material, line.packs, line.price, line.width_mm, line.length_mm) == (roving, 1, 120, 1250, 50_000)
    assert line.reason == "Hull 7: 3 pieces short; no end is long enough"
    assert f"Order {order.number} to Northern Fabrics is written. Check it, then approve it." in text(said)


@pytest.mark.parametrize(("days", "expected", "late"), [(13, 14, 1), (14, 14, 0), (15, 15, 0), (3, 14, 11)])
def test_order_is_wanted_on_the_first_day_short_and_what_comes_after_it_is_flagged(
    planned, page, supplier, roving, days, expected, late
):
    planned.short_of(roving, needed_on=day(days))
    shown = text(page("order-write", supplier.pk, data={"key": "tap"}))
    order, line = Order.objects.get(), OrderLine.objects.get()
    assert (order.expected_on, line.needed_on, line.days_too_late) == (day(expected), day(days), late)
    plural = "" if late == 1 else "s"
    needed = f'is needed on <span class="unbroken">{day(days)}</span>, {late} day{plural} before it is expected.'
    assert (needed in shown, "Too late." in shown) == (late > 0, late > 0)


def test_order_for_the_minimum_is_wanted_as_soon_as_it_can_be_here(planned, page, supplier, roving):
    """A job of the same fabric on day 40 does not put off what is below the minimum today."""
    roving.minimum_mm = 60_000
    roving.save()
    planned.short_of(roving, needed_on=day(40))
    page("order-write", supplier.pk, data={"key": "tap"})
    assert (Order.objects.get().expected_on, OrderLine.objects.get().needed_on) == (day(14), day(40))


@pytest.mark.parametrize(("first", "expected"), [(20, 20), (3, 14)])
def test_order_without_prices_is_wanted_on_the_first_day_one_of_its_lines_is_needed(
    planned, page, supplier, first, expected
):
    for name, days in (("mat", 30), ("roving", first)):
        planned.short_of(make_reinforcement(name, supplier=supplier, price_per_roll=None), needed_on=day(days))
    page("order-write", supplier.pk, data={"key": "tap"})
    assert Order.objects.get().expected_on == day(expected)


def test_other_day_of_the_supplier_flags_what_is_needed_before_and_what_came_is_no_more(planned, page, coming, clerk):
    roving, resin = coming.lines.all()
    OrderLine.objects.update(needed_on=day(10))
    assert "Too late." not in text(page("order", coming.pk))
    page("order-day", coming.pk, data={"expected_on": day(12)})
    shown = text(page("order", coming.pk))
    assert f'<span class="unbroken">{day(10)}</span>, 2 days before it is expected.' in shown
    OrderLine.objects.filter(pk=resin.pk).update(needed_on=None)
    actions.cancel(order=coming, at=NOON)
    assert "Too late." not in text(page("order", coming.pk))


def test_second_tap_opens_the_same_order_and_a_draft_is_named_beside_what_is_short(planned, page, supplier, roving):
    planned.short_of(roving, needed_on=day(21))
    for _ in range(2):
        page("order-write", supplier.pk, data={"key": "tap"})
    order = Order.objects.get()
    shown = text(page("ordering"))
    assert f"Order {order.number}</a> does not count as coming until it is approved." in shown
    assert "Write another order" in shown


def test_line_without_a_price_is_written_too_and_must_be_priced_before_approval(planned, page, supplier):
    planned.short_of(make_reinforcement("mat", supplier=supplier, price_per_roll=None))
    page("order-write", supplier.pk, data={"key": "tap"})
    order = Order.objects.get()
    assert "Mat: enter what one costs, then approve." in text(page("order-approve", order.pk, data={}))
    assert Order.objects.get().state == "draft"


def test_damaged_page_writes_no_order_and_says_so(planned, page, supplier, roving):
    planned.short_of(roving, needed_on=day(21))
    assert "The page was damaged." in text(page("order-write", supplier.pk, data={"key": "tap\x00"}))
    assert not Order.objects.exists()


def test_nothing_to_order_writes_nothing_and_says_so(planned, page, supplier):
    assert "There is nothing to put on an order." in text(page("order-write", supplier.pk, data={"key": "tap"}))
    assert not Order.objects.exists()


# On paper, as a file, by mail


def test_pdf_holds_what_the_supplier_must_know(page, coming):
    response = page("order-pdf", coming.pk)
    (words,) = words_of(response.content)
    assert response.headers["Content-Disposition"] == f'attachment; filename="order-{coming.number}.pdf"'
    lines = [" ".join(line.split()) for line in words.splitlines()]
    for line in (
        f"Order {coming.number}", "From Our shop", "To Northern Fabrics", f"Approved by olga on {TODAY}",
        f"To be delivered by {day(10)}", "Goods: 2,335.50 EUR", "Ring the bell <twice>.", "No lorries over 12 t.",
    ):  # fmt: skip
        assert line in lines
    for part in ("Roving 600 & ±45 “plain”", "2 rolls", "1,120.00 EUR", "2,240.00 EUR", "25.00 kg", "1 pack"):
        assert part in " ".join(lines)


def test_pdf_of_a_draft_says_so_and_the_same_order_gives_the_same_bytes(page, order):
    first, second = (page("order-pdf", order.pk).content for _ in range(2))
    assert first == second
    assert f"Order {order.number} (draft, not approved)" in words_of(first)[0]


def test_long_order_runs_over_pages_with_its_head_on_each(page, order, roving):
    OrderLine.objects.bulk_create(
        OrderLine(order=order, reinforcement=roving, width_mm=1250, length_mm=1_000 * n, packs=n, reason="Hull")
        for n in range(1, 61)
    )
    pages = words_of(page("order-pdf", order.pk).content)
    assert len(pages) > 1
    assert all("Size of one" in words for words in pages)
    assert "60 rolls" in pages[-1]
    assert "price as agreed" in pages[-1]


def test_csv_holds_plain_numbers_and_no_formula(page, coming):
    head, cloth, resin = text(page("order-csv", coming.pk)).splitlines()
    assert head == (
        "order,what,quantity,of what,width (mm),length (mm),mass of a pack (g),each,together,currency,deliver by"
    )
    assert cloth.endswith(f",2,roll,1250,50000,,1120.00,2240.00,EUR,{day(10)}")
    assert resin == f"{coming.number},'=Resin,1,pack,,,25000,95.50,95.50,EUR,{day(10)}"


def test_mail_is_ready_to_send_from_the_shops_own_program(page, coming):
    shown = page("order-text", coming.pk)
    written = shown.context["text"]
    assert written == "\n\n".join(
        [
            "Dear Northern Fabrics,",
            f"we order, as our number {coming.number}:",
            "1. 2 rolls of Roving 600 & ±45 “plain”, 1250 mm × 50.00 m each, 1,120.00 EUR each, 2,240.00 EUR\n"
            "2. 1 pack of =Resin, 25.00 kg each, 95.50 EUR each, 95.50 EUR",
            "Goods: 2,335.50 EUR",
            f"Please deliver by {day(10)}.",
            "Please ship rolls on their cores, dry and unfolded, with lot and length on every label. Please mark every "
            "pack with its batch and use-by date, of the newest batch you have, and send its safety and technical "
            "data sheets.",
            "Ring the bell <twice>.\nNo lorries over 12 t.",
            "Our shop, olga",
        ]
    )
    link = urlsplit(unescape(re.search(r'href="(mailto:[^"]+)"', shown.content.decode())[1]))
    assert link.path == "orders@northern.example"
    assert parse_qs(link.query) == {
        "subject": [f"Order {coming.number} of Our shop"], "body": [written.replace("\n", "\r\n")],
    }  # fmt: skip


def test_mail_of_a_draft_says_so_and_without_an_address_asks_for_one(page, order, supplier):
    supplier.email = ""
    supplier.save()
    shown = text(page("order-text", order.pk))
    assert "DRAFT, not approved." in shown
    assert "Keep an address" in shown
    assert "mailto:" not in shown


# Booked as it comes


def booking(order, *items, price="1120.00", key="came", **more):
    line = order.lines.order_by("pk").first()
    data = {
        "key": key, "received_on": str(TODAY), "paper": "D-7", "freight": "0", "duty_percent": "0", "handling": "0",
    }  # fmt: skip
    for item in items:
        data |= {f"came-{line.pk}-roll-{item.pk}": "on", f"price-{line.pk}-roll-{item.pk}": price}
    return data | more


def test_part_that_came_is_booked_with_what_differs_and_the_rest_is_still_expected(page, coming, owner, roving):
    roll = make_roll(by=owner, reinforcement=roving, width_mm=1000, length_mm=47_000)
    offered = text(page("order-came", coming.pk))
    assert "1000 mm wide instead of 1250 mm" in offered
    shown = text(page("order-came", coming.pk, data=booking(coming, roll, price="1130.00", freight="12.34")))
    assert f"1 item booked on order {coming.number}." in shown
    for words in (
        "1000 mm wide instead of 1250 mm", "3.00 m short: 47.00 m on its label", "10.00 EUR dearer than ordered",
        "Delivery note D-7", "1,142.34 EUR",
    ):  # fmt: skip
        assert words in shown
    assert "1 came." in text(page("order-came", coming.pk))
    assert Order.objects.get().state == "sent"


def test_cheaper_and_free_of_charge_is_said_as_well(page, coming, owner, roving):
    roll, free = (make_roll(by=owner, reinforcement=roving) for _ in range(2))
    page("order-came", coming.pk, data=booking(coming, roll, price="1100.00", key="one"))
    shown = text(page("order-came", coming.pk, data=booking(coming, free, price="0", key="two")))
    assert "-20.00 EUR cheaper" not in shown
    assert "20.00 EUR cheaper than ordered" in shown
    assert "1,120.00 EUR cheaper than ordered" in shown


def test_line_ordered_free_of_charge_and_invoiced_is_dearer(page, coming, owner, roving):
    coming.lines.filter(reinforcement=roving).update(price=0)
    roll = make_roll(by=owner, reinforcement=roving)
    assert "5.00 EUR dearer than ordered" in text(
        page("order-came", coming.pk, data=booking(coming, roll, price="5.00"))
    )


def test_container_is_booked_and_the_last_of_all_closes_the_order(page, coming, owner, roving):
    rolls = [make_roll(by=owner, reinforcement=roving) for _ in range(2)]
    drum = make_container(by=owner, chemical=coming.lines.last().chemical, mass_g=25_000)
    last = coming.lines.last()
    data = booking(coming, *rolls) | {
        f"came-{last.pk}-container-{drum.pk}": "on",
        f"price-{last.pk}-container-{drum.pk}": "95.50",
    }
    shown = text(page("order-came", coming.pk, data=data))
    assert "3 items booked" in shown
    assert Order.objects.get().state == "received"
    assert "Nothing is expected." in text(page("order-came", coming.pk))


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"received_on": str(day(1))}, "lies in the future. Enter the day it came."),
        ({"freight": "-1"}, "0"),
        ({"duty_percent": "101"}, "100"),
        ({"price": ""}, "Enter what was invoiced for it; 0 if nothing was."),
        ({"received_on": "soon"}, "date"),
    ],
)
def test_booking_with_a_slip_books_nothing_and_keeps_what_was_typed(page, coming, owner, roving, more, says):
    roll = make_roll(by=owner, reinforcement=roving)
    shown = text(page("order-came", coming.pk, data=booking(coming, roll, **more)))
    assert says in shown
    assert 'value="D-7"' in shown
    assert not Delivery.objects.exists()


def test_nothing_ticked_is_said(page, coming, owner, roving):
    make_roll(by=owner, reinforcement=roving)
    shown = text(page("order-came", coming.pk, data=booking(coming)))
    assert "Tick what came. What is not logged yet, log under Receive first." in shown


def test_second_tap_books_once_and_a_page_left_open_books_nothing_twice(page, coming, owner, roving):
    roll = make_roll(by=owner, reinforcement=roving)
    page("order-came", coming.pk, data=booking(coming, roll))
    page("order-came", coming.pk, data=booking(coming, roll))
    page("order-came", coming.pk, data=booking(coming, roll, key="stale"))
    assert [delivery.items.count() for delivery in Delivery.objects.all()] == [1]


# Who may


@pytest.mark.parametrize(
    ("role", "statuses"), [("owner", (200, 200, 200)), ("clerk", (200, 403, 403)), ("laminator", (403, 403, 403))]
)
def test_clerk_books_what_comes_and_only_the_owner_approves_and_sends(client, request, order, role, statuses):
    client.force_login(request.getfixturevalue(role))
    asked = (
        client.get(reverse("order", args=[order.pk])),
        client.post(reverse("order-approve", args=[order.pk]), follow=True),
        client.get(reverse("order-pdf", args=[order.pk])),
    )
    assert tuple(response.status_code for response in asked) == statuses
    assert (Order.objects.get().state == "approved") is (role == "owner")


def test_clerk_sees_the_order_with_no_button_but_to_book(client, clerk, coming):
    client.force_login(clerk)
    shown = text(client.get(reverse("order", args=[coming.pk])))
    assert "Something came" in shown
    assert "Cancel" not in shown


# What a supplier sells and how


@pytest.mark.parametrize(
    ("change", "says"),
    [({"lead_time_days": "-3"}, "0"), ({"currency": "EURO"}, "3"), ({"currency": "E1R"}, "Three letters"),
     ({"freight": "-1"}, "0"), ({"email": "at"}, "address")],
)  # fmt: skip
def test_terms_with_a_slip_are_refused(page, supplier, change, says):
    data = {"lead_time_days": "14", "freight": "40", "currency": "", "email": ""} | change
    shown = page("supplier-terms", supplier.pk, data=data)
    (errors,) = shown.context["form"].errors.values()
    assert says in " ".join(errors)
    supplier.refresh_from_db()
    assert supplier.lead_time_days == 14


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"reinforcement": ""}, "Choose a fabric or a product"),
        ({"length_mm": "0 m"}, "0"),
        ({"width_mm": "-5 mm"}, "5"),
        ({"least_packs": "0"}, "1"),
    ],
)
def test_size_that_cannot_be_sold_is_refused(page, supplier, roving, change, says):
    data = {"reinforcement": roving.pk, "price": "99", "least_packs": "1", "width_mm": "1 m", "length_mm": "40 m"}
    shown = page("offer-add", supplier.pk, data=data | change)
    assert says in str(shown.context["form"].errors)
    assert not supplier.offers.exists()


def test_product_of_unknown_pack_needs_one(page, supplier):
    data = {"chemical": make_chemical().pk, "price": "99", "least_packs": "1"}
    shown = page("offer-add", supplier.pk, data=data)
    assert "Enter what a pack holds: it is not known for this product." in text(shown)


# From Receive back to the order


def test_what_was_logged_leads_to_the_order_that_waits_for_it(page, coming, owner, roving):
    roll = make_roll(by=owner, reinforcement=roving, key="lorry-1")
    drum = make_container(by=owner, chemical=coming.lines.last().chemical)
    link = f'href="{reverse("order-came", args=[coming.pk])}"'
    assert link in text(page("receipt", "lorry"))
    assert link in text(page("container", drum.code))
    page("order-came", coming.pk, data=booking(coming, roll))
    assert link not in text(page("receipt", "lorry"))


def test_old_stock_other_cloth_and_drafts_lead_to_no_order(page, order, owner, roving):
    make_roll(by=owner, reinforcement=roving, key="draft-1")
    assert "Book on order" not in text(page("receipt", "draft"))
    actions.approve(order=order, by=owner, at=NOON)
    for key, roll in (("old", {"reinforcement": roving, "at": NOON - timedelta(days=4)}), ("other", {})):
        make_roll(by=owner, key=f"{key}-1", **roll)
        assert "Book on order" not in text(page("receipt", key))


def test_tick_names_the_roll_by_its_code_as_it_stands_on_the_label(page, coming, owner, roving):
    roll = make_roll(by=owner, reinforcement=roving)
    assert f"Roll {roll.code} came for this order" in text(page("order-came", coming.pk))
