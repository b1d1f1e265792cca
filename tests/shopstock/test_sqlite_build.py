import pytest
from django.core.checks import run_checks
from django.db import connection

from shopstock.sqlite_build import has_wal_reset_fault, warning_for


@pytest.mark.parametrize(
    ("version", "faulty"),
    [
        ((3, 6, 23), False),
        ((3, 7, 0), True),
        ((3, 40, 1), True),
        ((3, 44, 5), True),
        ((3, 44, 6), False),
        ((3, 45, 0), True),
        ((3, 50, 6), True),
        ((3, 50, 7), False),
        ((3, 51, 0), True),
        ((3, 51, 2), True),
        ((3, 51, 3), False),
        ((3, 53, 4), False),
    ],
    ids=lambda value: ".".join(map(str, value)) if isinstance(value, tuple) else "",
)
def test_versions_with_the_wal_reset_fault(version, faulty):
    assert has_wal_reset_fault(version) is faulty
    assert (warning_for(version) is not None) is faulty


def test_deployment_check_warns_of_exactly_the_faulty_versions():
    warned = any(found.id == "shopstock.W001" for found in run_checks(include_deployment_checks=True))
    faulty = connection.vendor == "sqlite" and has_wal_reset_fault(connection.Database.sqlite_version_info)
    assert warned is faulty


def test_warning_says_which_extra_brings_a_sound_one():
    assert "pip install -e '.[sqlite]'" in warning_for((3, 40, 1))
