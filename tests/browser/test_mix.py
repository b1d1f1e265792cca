"""From receiving a drum to the mixing sheet's last pot, as the clerk and the laminator do it."""

import datetime
import re
from decimal import Decimal

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from jobs.models import Mix
from shopstock.ledger_check import differences
from shopstock.models import Container, DoseBand, PotLife, Shop
from tests.browser.chromium import DESK, PHONE
from tests.factories import make_chemical, make_place, make_reinforcement
from tests.jobs.factories import make_job, make_part, make_ply


@pytest.fixture
def job(owner):
    """900 g of mat that take 2100 g of resin, in pots of 1050 g."""
    Shop.objects.update_or_create(pk=1, defaults={"pot_cap_g": 1050})
    resin = make_chemical("Laminating resin")
    DoseBand.objects.create(chemical=resin, from_c=15, below_c=25, min_percent=1, max_percent=Decimal("2.5"))
    PotLife.objects.create(chemical=resin, temperature_c=20, minutes=18)
    make_chemical("Catalyst", kind="peroxide", density_liquid=Decimal("1.15"))
    make_place("Resin room")
    job = make_job(by=owner, name="Dory", resin=resin, waste_percent=0)
    mat = make_reinforcement("Mat 450", form="mat", weave="none", areal_weight_gsm=Decimal(450), turning="any")
    part = make_part(job)
    for _ in range(2):
        make_ply(part, mat, length_mm=1_000, width_mm=1_000)
    return job


def receive(page, product: str, net: str) -> str:
    page.get_by_label("Product").select_option(label=product)
    page.get_by_label("Batch").fill("B-1")
    page.get_by_label("Net mass, each").fill(net)
    later = timezone.localdate() + datetime.timedelta(days=200)
    page.get_by_label("Use by (date on the label)").fill(later.isoformat())
    page.get_by_role("button", name="Receive").click()
    page.wait_for_url(re.compile(r"/resins/\w{7}/$"))
    expect(page.get_by_role("heading", level=1)).to_contain_text(product)
    return Container.objects.get(chemical__name=product).code


def test_drum_is_received_and_mixed_to_the_last_pot(visit, job, clerk, laminator):
    desk = visit(clerk, DESK)
    codes = {}
    for product, net in (("Laminating resin", "20 kg"), ("Catalyst", "1 kg")):
        desk.open("container-receive")
        codes[product] = receive(desk.page, product, net)

    phone = visit(laminator, PHONE)
    phone.open("mix-job", job.pk, "resin")
    phone.page.get_by_label("Temperature in the shop").fill("20")
    phone.page.get_by_label("Catalyst (%)").fill("2")
    phone.page.get_by_role("button", name="Work it out").click()
    for number in (1, 2):
        expect(phone.page.get_by_role("heading", name=f"Pot {number}")).to_be_visible()
        phone.page.get_by_label("Scan the resin").fill(codes["Laminating resin"])
        phone.page.get_by_label("Scan the catalyst").fill(codes["Catalyst"])
        phone.page.get_by_role("button", name=f"Mixed: note pot {number}").click()
    expect(phone.page.get_by_text("All that is planned is mixed")).to_be_visible()

    mixed = [(mix.number, mix.mixed_g, mix.by) for mix in Mix.objects.all()]
    assert mixed == [(1, 1050, laminator), (2, 1050, laminator)]
    assert sorted(Container.objects.values_list("mass_g", flat=True)) == [958, 17_900]
    assert list(differences()) == []
