"""The page: choose a file, see what it would add, say yes."""

import os
import time

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shopstock.models import Roll
from shopstock.stock_file import waiting
from tests.factories import make_reinforcement, make_roll

GOOD = b"material;width;length\nWR 600;1250 mm;50 m\nWR 600;1250 mm;20 m\n"
ROLES = ["clerk", "laminator", "owner", "outsider"]


@pytest.fixture
def roving(db):
    return make_reinforcement("WR 600")


def look(client, data: bytes = GOOD, name: str = "stock.csv"):
    return client.post(reverse("stock-import"), {"file": SimpleUploadedFile(name, data)})


def say_yes(client, name: str):
    return client.post(reverse("stock-import-confirm"), {"name": name, "file_name": "stock.csv"}, follow=True)


def said(page) -> list[str]:
    return [str(message) for message in page.context["messages"]]


def test_look_shows_what_the_file_would_add_and_stores_nothing(client, clerk, roving):
    client.force_login(clerk)
    page = look(client)
    assert "stock.csv adds 2 rolls" in page.content.decode()
    assert "70.00 m" in page.content.decode()
    assert Roll.objects.count() == 0


def test_yes_stores_it_under_the_persons_name(client, clerk, roving):
    client.force_login(clerk)
    page = say_yes(client, look(client).context["name"])
    assert said(page) == ["Added 2 rolls and offcuts, 70.00 m in all."]
    assert [roll.movements.get().by for roll in Roll.objects.all()] == [clerk, clerk]


def test_yes_twice_stores_it_once(client, clerk, roving):
    client.force_login(clerk)
    name = look(client).context["name"]
    say_yes(client, name)
    assert said(say_yes(client, name)) == ["That file is not kept any more. Choose it again."]
    assert Roll.objects.count() == 2


def test_same_file_again_says_that_nothing_is_new(client, clerk, roving):
    client.force_login(clerk)
    say_yes(client, look(client).context["name"])
    page = look(client).content.decode()
    assert "Nothing new in stock.csv" in page
    assert "2, passed over" in page


def test_wrong_lines_are_listed_and_no_yes_is_offered(client, clerk, roving):
    client.force_login(clerk)
    page = look(client, GOOD + b"WR 600;1250 mm;-5 m\nWR 601;1250 mm;5 m\n")
    text = page.content.decode()
    assert page.status_code == 422
    assert "2 things to correct in stock.csv" in text
    assert "A length cannot be negative" in text
    assert reverse("stock-import-confirm") not in text


def test_catalogue_changed_between_look_and_yes_is_shown(client, clerk, roving):
    client.force_login(clerk)
    name = look(client).context["name"]
    roving.name = "WR 600 heavy"
    roving.save()
    page = say_yes(client, name)
    assert page.status_code == 422
    assert Roll.objects.count() == 0


@pytest.mark.parametrize(
    ("name", "data", "message"),
    [
        ("stock.xlsx", b"\x89PNG\r\n", "This is a picture (PNG), not a table."),
        ("stock.csv", b"", "The file is empty."),
        ("stock.csv", b"x" * (10 * 1024 * 1024 + 200_000), "The file has 10.2 MB; the most is 10 MB."),
    ],
)
def test_file_that_is_no_table_gets_its_message_beside_the_field(client, clerk, name, data, message):
    client.force_login(clerk)
    assert look(client, data, name).context["form"].errors["file"][0].startswith(message)


def test_no_file_at_all_is_told(client, clerk):
    client.force_login(clerk)
    page = client.post(reverse("stock-import"), {})
    assert page.context["form"].errors == {"file": ["Choose a file first."]}


@pytest.mark.parametrize("name", ["", "../secret_key", "0" * 64, "zz"])
def test_name_that_is_no_waiting_file_is_refused(client, clerk, name):
    client.force_login(clerk)
    assert said(say_yes(client, name)) == ["That file is not kept any more. Choose it again."]


def test_waiting_files_are_dropped_after_a_day(tmp_path):
    old = waiting.keep(b"old")
    path = tmp_path / "stock-files" / old
    long_ago = time.time() - waiting.KEEP_SECONDS - 60
    os.utime(path, (long_ago, long_ago))
    waiting.keep(b"new")
    with pytest.raises(waiting.NotWaiting):
        waiting.fetch(old)


@pytest.mark.parametrize(("query", "start"), [("", b"\xef\xbb\xbfcode,kind,"), ("?as=xlsx", b"PK")])
def test_download_gives_the_stock(client, clerk, query, start):
    make_roll(by=clerk)
    client.force_login(clerk)
    assert client.get(reverse("stock-export") + query).content.startswith(start)


def test_example_table_is_itself_a_file_that_can_be_taken_in(client, clerk):
    client.force_login(clerk)
    page = look(client, client.get(reverse("stock-columns")).content)
    assert "adds 4 rolls" in page.content.decode()


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", ["stock-import", "stock-export", "stock-columns"])
def test_only_clerk_and_owner_see_the_pages(client, request, role, name):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse(name)).status_code == (200 if role in ("clerk", "owner") else 403)


@pytest.mark.parametrize("role", ROLES)
def test_only_clerk_and_owner_may_store(client, request, roving, role):
    client.force_login(request.getfixturevalue(role))
    say_yes(client, waiting.keep(GOOD))
    assert Roll.objects.count() == (2 if role in ("clerk", "owner") else 0)


@pytest.mark.parametrize("role", ROLES)
def test_only_clerk_and_owner_may_look_at_a_file(client, request, roving, role):
    client.force_login(request.getfixturevalue(role))
    assert look(client).status_code == (200 if role in ("clerk", "owner") else 403)
