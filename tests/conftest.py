import gc
import os

import hypothesis
import pytest
from django.conf import settings
from django.db import connection

from tests.database import let_test_cleanup_through
from tests.factories import make_person

# A slow machine makes no test fail; in CI the same examples come each time.
hypothesis.settings.register_profile(
    "any machine",
    deadline=None,
    derandomize="CI" in os.environ,
    suppress_health_check=[hypothesis.HealthCheck.too_slow],
)
hypothesis.settings.load_profile("any machine")


def pytest_configure(config: pytest.Config) -> None:
    gc.freeze()  # what is loaded by now stays, and need not be looked through for garbage in every test
    gc.set_threshold(50_000, 20, 20)
    settings.WHITENOISE_AUTOREFRESH = True  # every test client would list all static files first
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # hundreds of people are made


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--worked", metavar="DIR", help="a further folder of worked examples, same form as fixtures/worked"
    )


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory, django_db_modify_db_settings_parallel_suffix):
    """SQLite tests run on a file, as a shop does: a database in memory has one connection and so no second writer."""
    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("store") / "shop.sqlite3")


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """The suite's database, whose committing tests may be cleaned up although the ledgers are append-only."""
    with django_db_blocker.unblock():
        let_test_cleanup_through()


@pytest.fixture
def clerk(db):
    return make_person("carla", "clerk")


@pytest.fixture
def laminator(db):
    return make_person("luis", "laminator")


@pytest.fixture
def owner(db):
    return make_person("olga", "owner")


@pytest.fixture
def outsider(db):
    """Somebody with a sign-in but no role."""
    return make_person("otto")
