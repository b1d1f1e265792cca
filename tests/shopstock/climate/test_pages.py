import datetime
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shopstock.calc.climate import Reading
from shopstock.climate.actions import new_sensor, store_reading
from shopstock.models import ClimateReading, Sensor
from tests.factories import NOON, make_chemical, make_container, make_place

HOUR = datetime.timedelta(hours=1)
NAMES = {
    "climate": {"clerk", "laminator", "owner"},
    "place-climate": {"clerk", "laminator", "owner"},
    "climate-read": {"clerk", "laminator", "owner"},
    "climate-import": {"clerk", "laminator", "owner"},
    "sensor-add": {"owner"},
    "sensor-stop": {"owner"},
}


@pytest.fixture
def place(db):
    return make_place("Resin room")


@pytest.fixture
def page(client, laminator):
    client.force_login(laminator)
    return client


def note(page, place, **entry):
    values = {"temperature": "20", "humidity": "55", "at": "2026-03-02T11:30"} | entry
    return page.post(reverse("climate-read", args=[place.pk]), values, follow=True)


def text(response) -> str:
    return response.content.decode()


def put(place, hours_ago: float, temperature_c: float, humidity: float | None = None):
    store_reading(place, Reading(NOON - hours_ago * HOUR, temperature_c, humidity), source="hand", sure=True)


@pytest.mark.parametrize("role", ["clerk", "laminator", "owner", "outsider"])
@pytest.mark.parametrize("name", NAMES)
def test_page_and_post_are_for_the_roles_that_may(client, request, place, owner, name, role):
    sensor, _ = new_sensor(place=place, name="probe", by=owner, at=NOON)
    arguments = [] if name == "climate" else [sensor.pk if name == "sensor-stop" else place.pk]
    client.force_login(request.getfixturevalue(role))
    codes = {call(reverse(name, args=arguments)).status_code for call in (client.get, client.post)}
    if role in NAMES[name]:
        assert codes <= {200, 302, 405}
    else:
        assert 403 in codes
        assert codes <= {403, 405}


def test_reading_by_hand_is_kept_with_who_took_it(page, place, laminator):
    note(page, place)
    row = ClimateReading.objects.get()
    assert (row.temperature_c, row.humidity, row.by, row.source) == (
        Decimal("20.0"),
        Decimal("55.0"),
        laminator,
        "hand",
    )


def test_reading_in_fahrenheit_is_read(page, place):
    note(page, place, temperature="68 °F", humidity="")
    assert ClimateReading.objects.get().temperature_c == Decimal("20.0")


def test_seventy_in_a_celsius_field_is_asked_about_with_what_was_typed_kept(page, place):
    put(place, 1.5, 20)
    answer = note(page, place, temperature="70")
    assert "70 °F is 21.1 °C: is it °F?" in text(answer)
    assert 'name="temperature" value="70"' in text(answer)
    assert ClimateReading.objects.count() == 1
    note(page, place, temperature="70", asked="yes", sure="on")
    assert ClimateReading.objects.count() == 2


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"temperature": "warm"}, "not a number"),
        ({"temperature": "20 kg"}, "does not measure a temperature"),
        ({"humidity": "101"}, "Enter 100 or less"),
        ({"at": "2026-03-02T12:30"}, "still to come"),
        ({"at": "noon"}, "Enter date and time"),
    ],
)
def test_reading_that_cannot_be_is_refused_beside_its_field(page, place, entry, message):
    assert message in text(note(page, place, **entry))
    assert ClimateReading.objects.count() == 0


def test_file_is_brought_in_once_however_often_it_is_sent(page, place):
    rows = b"time;temperature_f;humidity\n2026-03-01 08:00;68,0;50\n2026-03-01 09:00;70;\n"
    for answer in ("2 readings stored, 0 were there", "0 readings stored, 2 were there"):
        file = SimpleUploadedFile("log.csv", rows)
        assert answer in text(page.post(reverse("climate-import", args=[place.pk]), {"file": file}, follow=True))
    found = ClimateReading.objects.order_by("at").values_list("temperature_c", "humidity")
    assert list(found) == [(Decimal("20.0"), Decimal("50.0")), (Decimal("21.1"), None)]


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (b"", "empty"),
        (b"when,warm\n1,2\n", "must name the columns"),
        (b"time,temperature\nlast week,20\n", "Line 2: “last week” is no moment"),
        (b"time,temperature\n2026-03-01 08:00,20\n2026-03-01 09:00,900\n", "Line 3: 900 °C is no temperature"),
        (b"time,temperature\n2026-03-01 08:00,20\n2026-03-05 09:00,20\n", "2026-03-05 09:00, is still to come"),
        (b"\xff\xfe\x00", "not text in UTF-8"),
    ],
)
def test_file_with_something_wrong_stores_nothing_and_says_where(page, place, rows, message):
    answer = page.post(reverse("climate-import", args=[place.pk]), {"file": SimpleUploadedFile("log.csv", rows)})
    assert message in text(answer)
    assert ClimateReading.objects.count() == 0


def bring(page, place, rows: bytes, **entry) -> str:
    entry |= {"file": SimpleUploadedFile("log.csv", rows)}
    return text(page.post(reverse("climate-import", args=[place.pk]), entry, follow=True))


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (b"time,temperature\n2026-03-01 08:00,66\n2026-03-01 09:00,70\n", "above 68 °C, which in °F would be 20.0 °C"),
        (b"time,temperature\n2026-03-02 11:30,40\n", "It was 20 °C at 2026-03-02 11:00. Is 40 °C right?"),
    ],
)
def test_file_in_fahrenheit_under_celsius_is_asked_about_and_stored_when_sure(page, place, rows, words):
    put(place, 1, 20)
    answer = bring(page, place, rows)
    assert words in answer
    assert "Name the column temperature_f" in answer
    assert ClimateReading.objects.count() == 1
    bring(page, place, rows, sure="on")
    assert ClimateReading.objects.count() == len(rows.splitlines())


def test_plot_parts_the_line_at_a_gap_and_says_so(page, place):
    for hours in (30, 29, 28, 5, 4):
        put(place, hours, 20, 50)
    pictures = page.get(reverse("place-climate", args=[place.pk])).context["pictures"]
    assert [(title, len(picture.lines)) for title, picture in pictures] == [("Temperature", 2), ("Humidity", 2)]
    assert "1 such gap here" in text(page.get(reverse("place-climate", args=[place.pk])))


def test_band_is_that_of_what_lies_there_and_readings_outside_it_are_counted(page, place, clerk):
    make_container(by=clerk, place=place, chemical=make_chemical(store_max_c=Decimal("22")))
    put(place, 2, 21)
    put(place, 1, 24)
    answer = page.get(reverse("place-climate", args=[place.pk]))
    assert (answer.context["band"].max_c, answer.context["wrong"]) == (22.0, 1)
    assert "24 °C is above 22 °C" in text(page.get(reverse("climate")))


def test_sensor_shows_its_token_once_with_the_line_that_sends(client, owner, place):
    client.force_login(owner)
    answer = text(client.post(reverse("sensor-add", args=[place.pk]), {"name": "probe by the door"}))
    assert "curl -H" in answer
    assert "/climate/readings/" in answer
    client.post(reverse("sensor-stop", args=[Sensor.objects.get().pk]))
    assert Sensor.objects.get().stopped_at == NOON


def test_list_of_places_asks_the_database_as_often_for_three_places_as_for_one(page, place, django_assert_num_queries):
    put(place, 1, 20)
    address = reverse("climate")
    page.get(address)
    with django_assert_num_queries(QUERIES):
        page.get(address)
    for number in range(2):
        put(make_place(f"Rack {number}"), 1, 20)
    with django_assert_num_queries(QUERIES):
        page.get(address)


QUERIES = 8
