"""The receiving form, through the page: what the clerk types, what stands in the store afterwards."""

from decimal import Decimal

import pytest
from django.urls import reverse

from shopstock.models import Roll, Shop
from shopstock.queries import usable_rolls
from tests.factories import make_place, make_reinforcement, make_supplier


@pytest.fixture
def mat(db):
    return make_reinforcement(
        "mat 450", form="mat", weave="none", areal_weight_gsm=Decimal("450"), supplier=make_supplier()
    )


@pytest.fixture
def typed(mat):
    """A sound single roll, as typed."""
    return {
        "key": "form-1",
        "reinforcement": mat.pk,
        "supplier": "",
        "lot": "L77",
        "count": "1",
        "width": "1250",
        "length": "50",
        "gross": "29.7 kg",
        "tube": "1.5 kg",
        "folded": "no",
        "place": make_place().pk,
        "lying": "core",
        "price": "115.50",
        "received_on": "2026-03-02",
    }


@pytest.fixture
def send(client, clerk):
    client.force_login(clerk)
    return lambda typed: client.post(reverse("receive"), typed, follow=True)


def errors(page, field) -> list[str]:
    return page.context["form"].errors.get(field, [])


def test_single_roll_is_logged_as_typed(send, typed, mat):
    page = send(typed)
    roll = Roll.objects.get()
    assert page.redirect_chain == [(reverse("receipt", args=["form-1"]), 302)]
    assert (roll.length_mm, roll.width_mm, roll.lot, roll.net_g, roll.price, roll.supplier, str(roll.received_on)) == (
        50_000,
        1_250,
        "L77",
        28_200,
        Decimal("115.50"),
        mat.supplier,
        "2026-03-02",
    )
    assert roll.is_usable


def test_receipt_says_the_weight_is_inside_the_tolerance(send, typed):
    assert "451 g/m² · 1.48 oz/ft² measured, 450 g/m² · 1.47 oz/ft² nominal, +0.3 %: inside ±10 %" in _text(send(typed))


def test_receipt_says_the_weight_is_outside_the_tolerance_and_the_roll_stays_usable(send, typed):
    page = send(typed | {"gross": "33 kg"})
    assert "504 g/m² · 1.65 oz/ft² measured, 450 g/m² · 1.47 oz/ft² nominal, +12.0 %: outside ±10 %" in _text(page)
    assert Roll.objects.get().is_usable


def test_receipt_asks_for_the_bare_tube_when_only_the_whole_was_weighed(send, typed):
    assert "Weigh the bare tube too, and the weight can be checked." in _text(send(typed | {"tube": ""}))


def _text(page) -> str:
    return " ".join(page.content.decode().split())


def test_receipt_links_to_the_labels_of_the_whole_delivery(send, typed):
    page = send(typed | rows({"length": "50"}, {"length": "48"}))
    first, second = Roll.objects.order_by("pk")
    assert f"?code={first.code}&amp;code={second.code}" in page.content.decode()


def test_form_sent_twice_is_the_same_roll(send, typed):
    send(typed)
    page = send(typed)
    assert page.redirect_chain == [(reverse("receipt", args=["form-1"]), 302)]
    assert Roll.objects.count() == 1


def test_old_form_with_other_figures_is_refused(send, typed):
    send(typed)
    page = send(typed | {"length": "40"})
    assert "already sent once, with other figures" in page.context["form"].non_field_errors()[0]
    assert list(Roll.objects.values_list("length_mm", flat=True)) == [50_000]


def test_old_form_with_another_count_is_refused(send, typed):
    send(typed)
    page = send(typed | rows({"length": "50"}, {"length": "50"}))
    assert "already sent: 1 of mat 450 logged" in page.context["form"].non_field_errors()[0]
    assert Roll.objects.count() == 1


def rows(*each, count=None) -> dict:
    fields = {f"roll{number}-{name}": text for number, row in enumerate(each, 1) for name, text in row.items()}
    return {"count": str(count or len(each))} | fields


def test_several_rolls_are_asked_for_one_by_one_before_anything_is_saved(send, typed):
    page = send(typed | {"count": "3"})
    assert [row["length"].value() for row in page.context["rows"]] == ["50.00 m"] * 3
    assert [row["gross"].value() for row in page.context["rows"]] == ["29.70 kg", None, None]
    assert "Not saved yet." in page.content.decode()
    assert Roll.objects.count() == 0


def test_rows_wait_until_the_first_fields_are_right(send, typed):
    page = send(typed | {"count": "3", "width": "wide"})
    assert (page.context["rows"], set(page.context["form"].errors)) == ([], {"width"})


def test_several_rolls_are_logged_each_with_its_own_figures(send, typed):
    send(typed | rows({"length": "50", "gross": "29.7", "tube": "1.5"}, {"length": "48.5", "gross": "", "tube": ""}))
    assert list(Roll.objects.order_by("pk").values_list("length_mm", "gross_g", "lot")) == [
        (50_000, 29_700, "L77"),
        (48_500, None, "L77"),
    ]


def test_several_rolls_are_all_refused_for_one_bad_row(send, typed):
    page = send(typed | rows({"length": "50"}, {"length": "much"}))
    assert page.context["rows"][1].errors == {"length": ["“much” is not a number with a unit. Write it like 12.5 m."]}
    assert (page.context["rows"][1]["length"].value(), Roll.objects.count()) == ("much", 0)


def test_absurd_weight_in_a_row_is_named_with_the_likely_meaning(send, typed):
    page = send(typed | rows({"length": "50"}, {"length": "50", "gross": "29.7 g"}))
    assert "Did you mean 29.7 kg?" in page.context["rows"][1].errors["gross"][0]


def test_count_raised_after_the_rows_were_shown_asks_for_the_new_row(send, typed):
    page = send(typed | rows({"length": "50"}, {"length": "49"}, count=3))
    assert [row["length"].value() for row in page.context["rows"]] == ["50", "49", "50.00 m"]
    assert Roll.objects.count() == 0


def test_damage_goes_to_the_ticked_rolls_only(send, typed):
    each = rows({"length": "50", "damaged": "on"}, {"length": "50"})
    send(typed | each | {"wet": "on", "splices": "12.5"})
    first, second = Roll.objects.order_by("pk")
    assert (first.condition_reason, first.faulty_mm) == ("wet", 100)
    assert (second.is_usable, second.faulty_mm) == (True, 0)


def test_damage_on_no_roll_is_asked_again(send, typed):
    page = send(typed | rows({"length": "50"}, {"length": "50"}) | {"wet": "on"})
    assert "tick the rolls it was found on" in page.context["form"].non_field_errors()[0]
    assert Roll.objects.count() == 0


@pytest.mark.parametrize(
    ("found", "reason"),
    [
        ({"folded": "fold"}, "folded"),
        ({"folded": "crease"}, "creased"),
        ({"crushed": "on"}, "crushed core"),
        ({"wet": "on"}, "wet"),
        ({"oil": "on"}, "oily"),
        ({"dust": "on"}, "dusty"),
        ({"folded": "fold", "wet": "on", "note": "rain on the lorry"}, "folded, wet: rain on the lorry"),
    ],
)
def test_roll_that_fails_inspection_is_quarantined_by_name_and_offered_to_no_plan(send, typed, mat, found, reason):
    send(typed | found)
    roll = Roll.objects.get()
    assert (roll.condition, roll.condition_reason) == ("quarantined", reason)
    assert list(usable_rolls(mat)) == []


def test_places_of_damage_become_faults_from_the_core_end(send, typed):
    send(typed | {"folded": "fold", "folded_at": "3.2–3.6", "oil": "on", "oil_at": "10; 49.98"})
    faults = Roll.objects.get().faults.order_by("from_mm").values_list("cause", "from_mm", "to_mm")
    assert list(faults) == [("oil", 0, 70), ("oil", 39_950, 40_050), ("fold", 46_400, 46_800)]


def test_splices_become_faults_without_quarantine(send, typed):
    send(typed | {"splices": "12.5, 30"})
    roll = Roll.objects.get()
    assert roll.is_usable
    assert list(roll.faults.values_list("cause", "from_mm", "to_mm")) == [
        ("splice", 37_450, 37_550),
        ("splice", 19_950, 20_050),
    ]


def test_fold_must_be_looked_for(send, typed):
    page = send(typed | {"folded": ""})
    assert errors(page, "folded") == ["Look for folds and creases, then say no or yes."]
    assert Roll.objects.count() == 0


@pytest.mark.parametrize(
    ("wrong", "field", "message"),
    [
        ({"reinforcement": ""}, "reinforcement", "Fill this in."),
        ({"count": "0"}, "count", "At least one roll."),
        ({"count": "51"}, "count", "At most 50 at once; send the rest in a second form."),
        ({"count": "-1"}, "count", "At least one roll."),
        ({"length": "-5 m"}, "length", "A length cannot be negative: “-5 m”."),
        ({"length": "five"}, "length", "“five” is not a number with a unit. Write it like 12.5 m."),
        (
            {"length": "600"},
            "length",
            "600.00 m is more than ten rolls of 50.00 m as sold. Check the number and its unit.",
        ),
        (
            {"gross": "1.5 kg"},
            "gross",
            "With its tube it weighs 1.50 kg, but the tube alone 1.50 kg. Weigh again, or swap the two.",
        ),
        (
            {"gross": "29.7 g"},
            "gross",
            "With its tube it weighs 30 g, but the tube alone 1.50 kg. Did you mean 29.7 kg?",
        ),
        (
            {"gross": "29700 kg"},
            "gross",
            "29\u202f698.50 kg of cloth, but a roll like this holds about 28.10 kg. Did you mean 29700 g?",
        ),
        (
            {"gross": "5 kg"},
            "gross",
            "3.50 kg of cloth, but a roll like this holds about 28.10 kg. "
            "Check the weight, the length and the reinforcement.",
        ),
        (
            {"width": "1200"},
            "width_confirmed",
            "1200 mm measured, 1250 mm in the catalogue. Correct it, or tick this.",
        ),
        (
            {"width": "1250 cm", "width_confirmed": "on"},
            "width",
            "12500 mm measured, 1250 mm in the catalogue. Did you mean 1250 mm?",
        ),
        (
            {"width": "49", "width_confirmed": "on"},
            "width",
            "49 mm measured, 1250 mm in the catalogue. Did you mean 49 in?",
        ),
        (
            {"width": "9000"},
            "width",
            "9000 mm measured, 1250 mm in the catalogue. Check the number and its unit.",
        ),
        ({"received_on": "0202-03-02"}, "received_on", "0202-03-02 is long ago. Check the year."),
        (
            {"received_on": "2999-01-01"},
            "received_on",
            "2999-01-01 lies in the future. Enter the day the roll came in.",
        ),
        ({"lying": "folded"}, "folded", "It lies folded, so it was folded: say yes here, or choose how it lies."),
        ({"folded_at": "3"}, "folded", "You gave a place of a fold: say yes, or clear the place."),
        ({"wet_at": "3"}, "wet", "You gave a place: tick this, or clear the place."),
        ({"splices": "60"}, "splices", "The roll is 50.00 m long: nothing can be found beyond that."),
        (
            {"splices": "12,30"},
            "splices",
            "“12,30” can be read in two ways. Write 12.30, or 12; 30 for two places.",
        ),
        ({"price": "-1"}, "price", "Enter 0 or more."),
        ({"key": "a/b"}, "key", "This page is damaged. Open Receive again."),
    ],
)
def test_bad_input_is_named_beside_its_field_and_nothing_is_saved(send, typed, wrong, field, message):
    page = send(typed | wrong)
    assert errors(page, field) == [message]
    assert all(page.context["form"].data[name] == value for name, value in wrong.items())
    assert Roll.objects.count() == 0


def test_damaged_page_says_so_and_names_no_field(send, typed):
    assert "This page is damaged. Open Receive again." in send(typed | {"key": "a/b"}).content.decode()


def test_odd_width_is_taken_once_confirmed(send, typed):
    send(typed | {"width": "1200", "width_confirmed": "on"})
    assert Roll.objects.get().width_mm == 1_200


def test_us_shop_types_yards_inches_and_pounds(send, typed):
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})
    send(typed | {"width": "49.25", "length": "54", "gross": "65", "tube": "3", "splices": "10"})
    roll = Roll.objects.get()
    assert (roll.width_mm, roll.length_mm, roll.gross_g, roll.faults.get().to_mm) == (1251, 49_378, 29_484, 46_380)


def test_empty_form_names_every_field_it_needs(send):
    page = send({"key": "form-2"})
    assert set(page.context["form"].errors) == {
        "reinforcement",
        "count",
        "width",
        "length",
        "folded",
        "lying",
        "received_on",
    }


@pytest.mark.parametrize(("role", "status"), [("clerk", 200), ("laminator", 403), ("owner", 200), ("outsider", 403)])
def test_receiving_is_for_clerk_and_owner(client, request, typed, role, status):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse("receive")).status_code == status
    assert client.post(reverse("receive"), typed, follow=True).status_code == status
    assert client.get(reverse("receipt", args=["form-1"])).status_code == status
    assert Roll.objects.count() == (1 if status == 200 else 0)


def test_receipt_of_an_unknown_form_is_not_found(client, clerk):
    client.force_login(clerk)
    assert client.get(reverse("receipt", args=["nothing"])).status_code == 404


def test_receiving_page_starts_with_the_reinforcement_asked_for(client, clerk, mat):
    client.force_login(clerk)
    page = client.get(reverse("receive"), {"reinforcement": mat.pk})
    assert f'<option value="{mat.pk}" selected>' in page.content.decode()
