"""The one field for everything: a scanned label, typed characters, or words."""

import pytest
from django.urls import reverse

from shopstock.calc.stock_code import make_code
from tests.factories import make_chemical, make_container, make_place, make_reinforcement, make_roll


@pytest.fixture
def roll(clerk):
    kind = make_reinforcement("biaxial 600", form="stitched")
    return make_roll(by=clerk, reinforcement=kind, place=make_place("Rack A1"), lot="L2301")


@pytest.fixture
def find(client, clerk):
    client.force_login(clerk)
    return lambda text: client.get(reverse("find"), {"q": text})


@pytest.mark.parametrize(
    "typed",
    [
        "{code}",
        " {lower} ",
        "{first}-{rest}",
        "{first} {rest}",
        "HTTP://STORE.LAN/R/{code}",
        "http://old-name:8000/r/{lower}/",
        "https://store.lan/r/{code}?from=label",
        "HTTPSÖ--STORE.LAN-R-{code}",
    ],
)
def test_code_leads_to_its_roll_however_it_is_typed_or_scanned(find, roll, typed):
    code = roll.code
    answer = find(typed.format(code=code, lower=code.lower(), first=code[:3], rest=code[3:]))
    assert (answer.status_code, answer.get("Location")) == (302, reverse("roll", args=[code]))


def test_code_leads_the_laminator_to_the_page_to_cut_from(client, laminator, roll):
    client.force_login(laminator)
    answer = client.get(reverse("find"), {"q": roll.code})
    assert answer.get("Location") == reverse("scan-roll", args=[roll.code])


def test_code_of_a_container_leads_to_it(find, clerk):
    drum = make_container(by=clerk)
    assert find(drum.code).get("Location") == reverse("container", args=[drum.code])
    assert find(f"https://store.lan/c/{drum.code}").get("Location") == reverse("container", args=[drum.code])


def found(page) -> dict:
    return {name: list(page.context[name]) for name in ("rolls", "reinforcements", "containers") if page.context[name]}


@pytest.mark.parametrize("words", ["l2301", "biax rack", "a1 l2301"])
def test_words_find_rolls_by_lot_name_and_place(find, roll, words):
    assert found(find(words))["rolls"] == [roll]


def test_words_find_the_catalogue_too(find, roll):
    assert found(find("biaxial")) == {"rolls": [roll], "reinforcements": [roll.reinforcement]}


@pytest.mark.parametrize("words", ["slow resin", "b99"])
def test_words_find_resin_by_name_and_batch(find, clerk, words):
    drum = make_container(by=clerk, chemical=make_chemical("laminating resin, slow"), batch="B99")
    make_container(by=clerk, chemical=make_chemical("gelcoat, white"))
    assert found(find(words)) == {"containers": [drum]}


def test_wrong_check_character_is_named_and_the_code_that_exists_is_offered(find, roll):
    wrong = roll.code[:-1] + ("2" if roll.code[-1] != "2" else "3")
    page = find(wrong)
    assert page.context["wrong_code"] == (
        f"{wrong[:3]} {wrong[3:]} does not check: a character is wrong or two are swapped. Compare it with the label."
    )
    assert page.context["near"] == [roll]


def test_code_with_a_character_missing_is_explained(find, roll):
    page = find("B00008")
    assert page.context["wrong_code"] == "A code has 7 characters; B00008 has 6. Type it again from the label."


def test_right_code_that_nobody_has_is_said_to_be_unknown_here(find, roll):
    unknown = next(code for code in map(make_code, range(5)) if code != roll.code)
    assert "is a right code, but no roll and no container here has it" in find(unknown).content.decode()


def test_words_that_are_no_code_get_no_talk_of_codes(find, roll):
    page = find("biaxial")
    assert (page.context["wrong_code"], page.context["near"]) == ("", [])


def test_nothing_found_says_what_to_try(find, roll):
    assert "Nothing in the store has that. Try fewer or shorter words" in find("unobtainium").content.decode()


@pytest.mark.parametrize("text", ["", "   "])
def test_empty_search_explains_itself(find, text):
    assert "Scan a label, or type its seven characters" in find(text).content.decode()


@pytest.mark.parametrize("text", ["x" * 201, "\x00"])
def test_search_that_cannot_be_read_says_so(find, text):
    assert "That cannot be read" in find(text).content.decode()


def test_what_was_typed_stays_in_the_field_and_is_no_markup(find, roll):
    page = find("<b>bold").content.decode()
    assert 'value="&lt;b&gt;bold"' in page
    assert "<b>bold" not in page


def test_many_matches_are_cut_off_with_a_way_to_the_rest(find, clerk, roll):
    for _ in range(51):
        make_roll(by=clerk, reinforcement=roll.reinforcement)
    page = find("biaxial")
    assert len(page.context["rolls"]) == 50
    assert f"{reverse('rolls')}?words=biaxial&amp;shown=all" in page.content.decode()


@pytest.mark.parametrize(("role", "status"), [("clerk", 200), ("laminator", 200), ("owner", 200), ("outsider", 403)])
def test_finding_needs_a_role(client, request, role, status):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse("find"), {"q": "mat"}).status_code == status


def test_label_of_a_place_leads_to_the_place(find):
    place = make_place("Shelf 4")
    assert find(f"HTTPS://STORE.LAN/P/{place.code}").url == reverse("place", args=[place.pk])


SUPPLIERS = "(01)99521234567892(8001)12700010007601(10)L2407A"


def test_suppliers_label_leads_who_receives_to_the_delivery_and_nobody_else(find, client, laminator):
    assert find(SUPPLIERS).url.startswith(reverse("scan-delivery"))
    client.force_login(laminator)
    assert "Nothing in the store has that" in find(SUPPLIERS).content.decode()


def test_number_that_is_a_lot_here_is_no_suppliers_label(find, clerk):
    roll = make_roll(by=clerk, lot="9521234567899")
    assert roll.code in find("9521234567899").content.decode().replace(" ", "")
