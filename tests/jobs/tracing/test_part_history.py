"""From a part back to rolls, lots, who cut, resin, and the air at the cut."""

import datetime
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from jobs.models import Mix, MixDraw, MixPly
from shopstock import ledger
from shopstock.models import ClimateReading, SetAside
from tests.factories import NOON, make_container, make_place, make_reinforcement, make_roll, new_key
from tests.jobs.factories import confirmed, make_ply, simple_job


@pytest.fixture
def part(owner, clerk, laminator):
    cloth = make_reinforcement("woven roving 600")
    roll = make_roll(by=clerk, reinforcement=cloth, length_mm=10_000, lot="L-7")
    job = simple_job(by=owner, reinforcement=cloth, name="Dinghy 12")
    confirmed(job, owner)
    promise = SetAside.objects.get(roll=roll)
    ledger.record_cut(roll=roll, length_mm=promise.length_mm, by=laminator, at=NOON, key=new_key(), set_aside=promise)
    return job.parts.get()


def reading(hours: float, temperature: str, humidity: str | None = "55"):
    return ClimateReading.objects.create(
        place=make_place("Laminating room"),
        at=NOON + datetime.timedelta(hours=hours),
        temperature_c=Decimal(temperature),
        humidity=humidity and Decimal(humidity),
    )


def page(client, person, part, **query) -> str:
    client.force_login(person)
    answer = client.get(reverse("part-history", args=[part.pk]), query)
    return " ".join(strip_tags(answer.content.decode().replace("<", " <")).split())


def test_history_names_roll_lot_person_and_length(client, clerk, part):
    text = page(client, clerk, part)
    roll = SetAside.objects.get().roll
    assert f"2026-03-02 12:00 luis {roll.code} woven roving 600 L-7 2.00 m" in text


def test_history_takes_the_reading_nearest_to_the_cut(client, clerk, part):
    reading(-5, "15.0")
    reading(0.5, "21.5")
    reading(2, "25.0")
    assert "21.5 °C, 55.0 % in Laminating room, 2026-03-02 12:30" in page(client, clerk, part)


def test_history_without_a_near_reading_says_so(client, clerk, part):
    reading(-7, "15.0")
    assert "no reading within 6 h" in page(client, clerk, part)


def test_history_lists_resin_drawn_in_the_jobs_name(client, clerk, part):
    container = make_container(by=clerk, batch="B-5")
    for reason in ("Dinghy 12, first pot", "Tank 3"):
        ledger.draw(container=container, mass_g=1_500, by=clerk, at=NOON, key=new_key(), reason=reason)
    text = page(client, clerk, part)
    assert ("B-5 1.50 kg Dinghy 12, first pot" in text, "Tank 3" in text) == (True, False)


def test_history_says_what_is_still_to_be_cut(client, owner, clerk):
    cloth = make_reinforcement()
    make_roll(by=clerk, reinforcement=cloth)
    job = simple_job(by=owner, reinforcement=cloth)
    confirmed(job, owner)
    assert "1 planned length for it is still to be cut" in page(client, owner, job.parts.get())


def test_history_is_exported(client, clerk, part):
    reading(0, "20.0", None)
    client.force_login(clerk)
    lines = client.get(reverse("part-history", args=[part.pk]), {"_export": "csv"}).content.decode().splitlines()
    assert (len(lines), ",2000,mm," in lines[1], lines[1].endswith(",20.0,,2026-03-02 12:00")) == (2, True, True)


def test_laminator_has_no_history_pages(client, laminator, part):
    client.force_login(laminator)
    assert client.get(reverse("part-history", args=[part.pk])).status_code == 403


@pytest.fixture
def pot(part, clerk, owner):
    """A pot for the hull's one ply, of one draw from batch B-5, and a draw of the same batch for nothing named."""
    container = make_container(by=clerk, batch="B-5")
    line = ledger.draw(container=container, mass_g=1_500, by=clerk, at=NOON, key=new_key(), reason="pot 1")
    ledger.draw(container=container, mass_g=300, by=clerk, at=NOON, key=new_key(), reason="repair")
    mix = Mix.objects.create(
        job=part.job,
        number=1,
        planned_g=1_500,
        mixed_g=1_500,
        temperature_c=Decimal("19.5"),
        by=owner,
        at=NOON,
        key="p",
    )
    MixDraw.objects.create(mix=mix, movement=line, role=MixDraw.Role.RESIN)
    MixPly.objects.create(mix=mix, ply=part.plies.get(), name="Hull, ply 1", mass_g=1_500)
    return mix


def test_history_lists_the_pots_mixed_for_its_plies(client, clerk, part, pot):
    text = page(client, clerk, part)
    assert ("B-5 1.50 kg pot 1 for Dinghy 12, 19.5 °C in the shop" in text, "repair" in text) == (True, False)


def test_pot_of_another_part_is_not_of_this_one(client, clerk, part, pot):
    other = part.job.parts.create(name="Deck")
    pot.plies.update(ply=make_ply(other))
    assert "pot 1" not in page(client, clerk, part)
    assert "pot 1 for Dinghy 12" in page(client, clerk, other)


def test_recall_of_the_batch_leads_to_the_part(client, clerk, part, pot):
    client.force_login(clerk)
    recalled = client.get(reverse("trace-batch"), {"name": "B-5"}).context["recall"]
    assert [(use.job, use.part, use.pieces) for use in recalled.jobs] == [("Dinghy 12", "Hull", ("Hull, ply 1",))]
    assert [len(taking.uses) for taking in recalled.takings] == [1, 0]


def test_recall_of_a_pot_whose_ply_was_taken_out_leads_to_the_job(client, clerk, part, pot):
    pot.plies.update(ply=None)
    client.force_login(clerk)
    recalled = client.get(reverse("trace-batch"), {"name": "B-5"}).context["recall"]
    assert [(use.job, use.part) for use in recalled.jobs] == [("Dinghy 12", "")]
