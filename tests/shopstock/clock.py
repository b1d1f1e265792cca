"""A fixed clock for pages: views ask Django for the time, and it is always noon of the factories' day."""

import pytest
from django.utils import timezone

from tests.factories import NOON


@pytest.fixture(autouse=True)
def noon(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOON)
