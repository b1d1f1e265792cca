"""Today tells the owner when the store was last backed up."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from shopstock import last_backup
from shopstock.last_backup import LastBackup
from shopstock.models import Shop


@pytest.fixture(autouse=True)
def data_dir(settings, tmp_path):
    settings.DATA_DIR = tmp_path


def page(client, person) -> str:
    client.force_login(person)
    return client.get(reverse("today")).content.decode()


def backed_up(hours_ago: int, **fields):
    made_at = timezone.now() - datetime.timedelta(hours=hours_ago)
    last_backup.note(LastBackup(made_at=made_at, file="store.backup", **({"copied": True} | fields)))
    return f"{made_at:%Y-%m-%d %H:%M}"


def test_owner_sees_the_last_good_backup(client, owner):
    when = backed_up(6)
    assert f"Last good backup: {when}, copied off this machine." in page(client, owner)


def test_owner_is_warned_of_an_old_one(client, owner):
    when = backed_up(72, copied=False)
    assert f"The last good backup is old:</strong> {when}, on this machine only." in page(client, owner)


def test_owner_is_told_what_went_wrong_since(client, owner):
    backed_up(6, problem="The copy off this machine failed: no route.")
    told = page(client, owner)
    assert ("The copy off this machine failed: no route." in told, "backup is old" in told) == (True, False)


def test_owner_is_told_why_no_backup_was_ever_made(client, owner):
    last_backup.note_problem("The backup was not made: no disk.")
    told = page(client, owner)
    assert ("No backup yet." in told, "The last try: The backup was not made: no disk." in told) == (True, True)


def test_owner_of_a_shop_without_backup_is_warned(client, owner):
    assert "No backup yet." in page(client, owner)


def test_laminator_is_not_bothered(client, laminator):
    assert "backup" not in page(client, laminator)


def test_demo_is_not_warned(client, owner):
    Shop.objects.update_or_create(pk=1, defaults={"is_demo": True})
    assert "backup" not in page(client, owner)
