import datetime

import pytest

from shopstock import ledger
from tests.factories import NOON, TODAY, make_chemical, make_container, new_key


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def resin(db):
    return make_chemical("laminating resin", open_life_days=30)


@pytest.fixture
def drum(clerk, resin):
    return make_container(by=clerk, chemical=resin, mass_g=20_000)


@pytest.fixture
def as_laminator(client, laminator):
    client.force_login(laminator)
    return client


def draw(client, drum, amount="1.2 kg", **more):
    return client.post(f"/resins/{drum.code}/draw/", {"amount": amount, "key": "tap", **more}, follow=True)


def left(drum) -> int:
    drum.refresh_from_db()
    return drum.mass_g


def text(response) -> str:
    return response.content.decode()


def test_draw_takes_the_mass_and_opens_the_container(as_laminator, drum, laminator):
    response = draw(as_laminator, drum, purpose="Hull 7")
    line = drum.movements.first()
    assert (line.delta_g, line.balance_after_g, line.by, line.reason) == (-1_200, 18_800, laminator, "Hull 7")
    assert "1.20 kg taken from" in text(response)
    drum.refresh_from_db()
    assert (drum.opened_on, drum.expires_on) == (TODAY, day(30))


def test_draw_sent_twice_is_one_draw(as_laminator, drum):
    draw(as_laminator, drum)
    draw(as_laminator, drum)
    assert left(drum) == 18_800


@pytest.mark.parametrize(
    ("amount", "message"),
    [
        ("500", "Write the unit too"),
        ("", "Fill this in"),
        ("lots", "not a number"),
        ("3 m", "measures no amount of resin"),
        ("0.1 g", "too little"),
        ("21 kg", "20.00 kg left; 21.00 kg is more"),
    ],
)
def test_draw_that_makes_no_sense_is_refused_and_keeps_what_was_typed(as_laminator, drum, amount, message):
    response = draw(as_laminator, drum, amount)
    assert message in text(response)
    assert f'name="amount" value="{amount}"' in text(response) or not amount
    assert left(drum) == 20_000


def test_draw_past_another_that_goes_first_is_stopped_with_the_right_one_named(as_laminator, clerk, resin, drum):
    first = make_container(by=clerk, chemical=resin, label_date=day(5))
    response = draw(as_laminator, drum, out_of_order="nearer")
    assert f"Take {first.code} first: it ends on 2026-03-07" in text(response)
    assert 'id="draw"' not in text(response)
    assert left(drum) == 20_000


def test_clerk_takes_another_only_with_a_reason(client, clerk, resin, drum):
    first = make_container(by=clerk, chemical=resin, label_date=day(5))
    client.force_login(clerk)
    page = text(draw(client, drum))
    assert f"Take {first.code}, which ends on 2026-03-07, or say why" in page
    assert left(drum) == 20_000


def test_draw_out_of_order_is_kept_in_the_ledger_with_name_and_reason(client, clerk, resin, drum):
    first = make_container(by=clerk, chemical=resin, label_date=day(5))
    client.force_login(clerk)
    draw(client, drum, out_of_order="drum pump is on it", purpose="Hull 7")
    line = drum.movements.first()
    assert (left(drum), line.by) == (18_800, clerk)
    assert line.reason == f"Hull 7; taken before {first.code}, which goes first: drum pump is on it"


def test_page_of_the_one_that_goes_first_does_not_warn(as_laminator, clerk, resin, drum):
    first = make_container(by=clerk, chemical=resin, label_date=day(5))
    assert "Another goes first" not in text(as_laminator.get(f"/resins/{first.code}/"))
    assert "Another goes first" in text(as_laminator.get(f"/resins/{drum.code}/"))


def test_page_past_its_date_offers_no_draw_and_a_stale_page_is_refused(as_laminator, clerk, resin):
    dead = make_container(by=clerk, chemical=resin, label_date=day(-1))
    assert 'id="draw"' not in text(as_laminator.get(f"/resins/{dead.code}/"))
    assert "went past its date on 2026-03-01" in text(draw(as_laminator, dead))
    assert left(dead) == 20_000


def test_page_that_went_stale_when_the_drum_was_emptied_says_so(as_laminator, clerk, drum):
    ledger.draw(container=drum, mass_g=20_000, by=clerk, at=NOON, key=new_key())
    assert "is empty or disposed of" in text(draw(as_laminator, drum))


def test_page_says_when_it_ends_and_why(as_laminator, drum):
    ledger.open_container(container=drum, on=TODAY)
    page = text(as_laminator.get(f"/resins/{drum.code}/"))
    assert "30 days after it was opened on 2026-03-02 (label: 2026-06-30)" in page
    assert "2026-04-01" in page


def test_page_is_found_by_its_code_in_any_spelling_and_not_by_nonsense(as_laminator, drum):
    assert as_laminator.get(f"/resins/{drum.code.lower()}/").status_code == 200
    assert as_laminator.get("/resins/NONSENSE/").status_code == 404


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("peroxide", "must never meet promoter"),
        ("promoter", "mixed directly explode"),
        ("hardener", "away from organic peroxides"),
        ("solvent", "must never meet organic peroxide"),
        ("polyester", "keep flames and sparks away"),
        ("epoxy", "can sensitise the skin"),
    ],
)
def test_page_carries_the_caution_of_its_kind(as_laminator, clerk, kind, words):
    can = make_container(by=clerk, chemical=make_chemical(kind=kind))
    page = text(as_laminator.get(f"/resins/{can.code}/"))
    assert words in page
    assert "own sheets and local codes override this" in page


def test_day_opened_is_noted_and_ends_the_container_earlier(as_laminator, drum):
    page = as_laminator.post(f"/resins/{drum.code}/opened/", {"on": "2026-03-02"}, follow=True)
    assert "use it by 2026-04-01" in text(page)


@pytest.mark.parametrize(
    ("on", "message"), [("2026-03-03", "still to come"), ("2026-03-01", "Opened before it was received")]
)
def test_day_opened_that_cannot_be_is_refused(as_laminator, drum, on, message):
    assert message in text(as_laminator.post(f"/resins/{drum.code}/opened/", {"on": on}))
    drum.refresh_from_db()
    assert drum.opened_on is None


def test_weighing_sets_gross_less_empty_and_remembers_the_empty_weight(client, clerk, drum):
    client.force_login(clerk)
    entry = {"gross": "19", "tare": "1.5 kg", "reason": "stock count", "key": "w1"}
    page = client.post(f"/resins/{drum.code}/weigh/", entry, follow=True)
    drum.refresh_from_db()
    assert (drum.mass_g, drum.tare_g, drum.movements.first().delta_g) == (17_500, 1_500, -2_500)
    assert "holds 17.50 kg" in text(page)
    assert 'name="tare" value="1.50 kg"' in text(client.get(f"/resins/{drum.code}/weigh/"))


def test_weighing_less_than_the_empty_container_is_refused(client, clerk, drum):
    client.force_login(clerk)
    entry = {"gross": "1 kg", "tare": "1.5 kg", "reason": "count", "key": "w1"}
    assert "Less than the empty container weighs" in text(client.post(f"/resins/{drum.code}/weigh/", entry))
    assert left(drum) == 20_000


def test_disposal_empties_the_container_and_keeps_the_waste_note(client, clerk, drum):
    client.force_login(clerk)
    client.post(f"/resins/{drum.code}/dispose/", {"reason": "waste note 4411", "key": "d1"})
    line = drum.movements.first()
    assert (line.kind, line.delta_g, line.reason) == ("disposal", -20_000, "waste note 4411")
    assert "<strong>Gone.</strong>" in text(client.get(f"/resins/{drum.code}/"))


def test_disposal_without_a_waste_note_is_refused(client, clerk, drum):
    client.force_login(clerk)
    client.post(f"/resins/{drum.code}/dispose/", {"reason": "  ", "key": "d1"})
    assert left(drum) == 20_000
