"""What a browser is told, where a sign-in may lead, and when a session ends."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from shopstock.models import Supplier
from tests.factories import PASSWORD

ROOT = Path(__file__).resolve().parents[2]


def test_pages_carry_the_headers_that_keep_them_to_themselves(client, clerk):
    client.force_login(clerk)
    headers = client.get(reverse("rolls")).headers
    assert headers["Content-Security-Policy"] == (
        "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; "
        "frame-ancestors 'none'"
    )
    assert (headers["X-Frame-Options"], headers["X-Content-Type-Options"]) == ("DENY", "nosniff")
    assert (headers["Referrer-Policy"], "no-cache" in headers["Cache-Control"]) == ("same-origin", True)


@pytest.mark.parametrize("where", ["https://evil.example/", "//evil.example", "javascript:alert(1)", "/\\evil.example"])
def test_sign_in_leads_nowhere_else(db, clerk, where):
    answer = Client().post(reverse("sign-in"), {"username": "carla", "password": PASSWORD, "next": where})
    assert answer.url == reverse("today")


def test_session_number_changes_at_sign_in(clerk):
    device = Client()
    device.get(reverse("sign-in"))
    device.cookies["sessionid"] = "planted0000000000000000000000000"
    device.post(reverse("sign-in"), {"username": "carla", "password": PASSWORD})
    assert device.cookies["sessionid"].value != "planted0000000000000000000000000"


def test_sign_out_ends_the_session_for_good(client, clerk):
    client.force_login(clerk)
    cookie = client.cookies["sessionid"].value
    client.post(reverse("sign-out"))
    client.cookies["sessionid"] = cookie
    assert client.get(reverse("rolls")).status_code == 302


def test_address_that_the_shop_has_not_named_gets_a_page_that_says_where_it_is_named(client):
    answer = client.get(reverse("sign-in"), headers={"host": "store.example"})
    assert (answer.status_code, "SHOPSTOCK_HOSTS" in answer.content.decode()) == (400, True)


def test_sign_out_by_a_link_does_nothing(client, clerk):
    client.force_login(clerk)
    assert client.get(reverse("sign-out")).status_code == 405
    assert client.get(reverse("rolls")).status_code == 200


def test_closing_a_sign_in_ends_its_open_sessions(client, clerk):
    client.force_login(clerk)
    clerk.is_active = False
    clerk.save()
    assert client.get(reverse("rolls")).status_code == 302


def test_new_password_ends_sessions_of_the_old_one(client, clerk):
    client.force_login(clerk)
    clerk.set_password("another-twill-31")
    clerk.save()
    assert client.get(reverse("rolls")).status_code == 302


def test_post_without_the_pages_token_is_refused(clerk):
    device = Client(enforce_csrf_checks=True)
    device.force_login(clerk)
    answer = device.post(reverse("supplier-add"), {"name": "Planted", "lead_time_days": 5})
    assert (answer.status_code, Supplier.objects.exists()) == (403, False)


def test_words_typed_by_people_are_shown_as_words(client, clerk):
    Supplier.objects.create(name="<script>alert(1)</script>")
    client.force_login(clerk)
    page = client.get(reverse("suppliers")).content.decode()
    assert ("&lt;script&gt;alert(1)" in page, "<script>alert(1)" in page) == (True, False)


def manage(*arguments: str, **environment: str) -> subprocess.CompletedProcess:
    command = [sys.executable, str(ROOT / "manage.py"), *arguments]
    ours = {name: value for name, value in os.environ.items() if name != "DJANGO_ALLOW_ASYNC_UNSAFE"}  # for browsers
    return subprocess.run(command, env=ours | environment, capture_output=True, text=True)


def test_deployment_check_is_clean_with_the_settings_of_the_run_book(tmp_path):
    done = manage(
        "check", "--deploy", "--fail-level", "WARNING",
        SHOPSTOCK_DATA=str(tmp_path), DATABASE_URL="postgres://store@127.0.0.1/store", SHOPSTOCK_HTTPS="1",
        SHOPSTOCK_HOSTS="store.lan",
    )  # fmt: skip
    assert (done.returncode, "no issues (1 silenced)" in done.stdout) == (0, True), done.stderr


def test_https_settings_send_http_over_and_mark_the_cookies(tmp_path):
    code = (
        "from django.test import Client; from django.conf import settings as s; c=Client(headers={'host':'store.lan'});"
        "a=c.get('/sign-in/'); b=c.get('/sign-in/', secure=True);"
        "print(a.status_code, a.url, b.headers['Strict-Transport-Security'], s.SESSION_COOKIE_SECURE, "
        "s.CSRF_COOKIE_SECURE, s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME, s.TABLET_COOKIE_NAME)"
    )
    done = manage(
        "shell", "-v", "0", "-c", code,
        SHOPSTOCK_DATA=str(tmp_path), DATABASE_URL=f"sqlite:///{tmp_path}/s.sqlite3", SHOPSTOCK_HTTPS="1",
        SHOPSTOCK_HOSTS="store.lan",
    )  # fmt: skip
    assert done.stdout.split("\n")[-2] == (
        "301 https://store.lan/sign-in/ max-age=31536000; includeSubDomains; preload True True "
        "__Host-session __Host-csrf __Host-shop-tablet"
    )


def test_secret_key_is_made_once_for_each_place_and_kept_private(tmp_path):
    code = "from django.conf import settings; print(settings.SECRET_KEY)"
    keys = {
        manage("shell", "-v", "0", "-c", code, SHOPSTOCK_DATA=str(tmp_path / place), SHOPSTOCK_SECRET_KEY="").stdout
        for place in ("a", "a", "b")
    }
    assert len(keys) == 2
    assert (tmp_path / "a" / "secret_key").stat().st_mode & 0o077 == 0
