import pytest
from django.core.cache import cache

from tests.shopstock.clock import noon

__all__ = ["noon"]


@pytest.fixture(autouse=True)
def counters_at_nothing():
    cache.clear()
