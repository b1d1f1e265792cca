"""A small open boat by a boatbuilding manual's kind of schedule, through plan, resin and reorder.

Mat 300 and 450 g/m² and woven roving 600 and 800 g/m², resin to glass 2.5:1 for mat and 1.25:1 for roving by weight, as
in the technical brief "Fibreglass boat building" (Practical Action, KnO-100378). Areas are ours.
"""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import DESK
from tests.factories import make_chemical, make_container, make_reinforcement, make_roll

PLIES = """part;part count;ply;reinforcement;length;width;direction
Hull;1;1;Mat 300;5.0 m;1.20 m;any
Hull;1;2;Mat 450;5.0 m;1.20 m;any
Hull;1;3;Roving 600;5.0 m;1.20 m;0
Hull;1;4;Mat 450;5.0 m;1.20 m;any
Hull;1;5;Roving 800;5.0 m;1.20 m;0
"""
# area 6 m² a ply; glass 1.8 + 2.7 + 3.6 + 2.7 + 4.8 kg; resin 2.5 × 7.2 kg of mat + 1.25 × 8.4 kg of roving
GLASS_KG, RESIN_KG = 15.6, 28.5
MAT_SHARE, ROVING_SHARE = "0.286", "0.444"  # 1/(1 + 2.5) and 1/(1 + 1.25)


@pytest.fixture
def store(transactional_db, clerk):
    mats = {"form": "mat", "weave": "none", "turning": "any", "roll_length_mm": 55_000}
    for name, weight, fields in (
        ("Mat 300", 300, mats),
        ("Mat 450", 450, mats),
        ("Roving 600", 600, {}),
        ("Roving 800", 800, {"roll_length_mm": 40_000}),
    ):
        cloth = make_reinforcement(name, areal_weight_gsm=weight, **fields)
        if name != "Roving 800":
            make_roll(by=clerk, reinforcement=cloth, length_mm=20_000)
    resin = make_chemical("Laminating resin", pack_g=25_000)
    make_container(by=clerk, chemical=resin, mass_g=20_000, label_date="2031-01-31")


def figure(page, label: str) -> float:
    """The kilograms beside a fact's name."""
    text = page.locator("dl.facts dt", has_text=label).locator("xpath=following-sibling::dd[1]").inner_text()
    return float(re.search(r"([\d.]+) kg", text).group(1))


def test_schedule_of_an_open_boat_runs_through_plan_resin_and_reorder(visit, store, owner):
    page = visit(owner, DESK).page
    page.goto("/jobs/add/")
    page.get_by_label("Name", exact=True).fill("Open boat 4.9")
    page.get_by_label("Laminating resin").select_option(label="Laminating resin")
    page.get_by_role("button", name=re.compile("save|add|write", re.I)).last.click()
    page.get_by_role("link", name="Plies from a file").click()
    page.get_by_label(re.compile("paste")).fill(PLIES)
    page.get_by_role("button", name="Add the plies").click()

    page.get_by_role("link", name="Resin", exact=True).click()
    for kind, plies, share in (("Mat", 3, MAT_SHARE), ("Roving", 2, ROVING_SHARE)):
        fields = page.get_by_role("row").filter(has_text=kind).locator("input")
        expect(fields).to_have_count(plies)
        for field in fields.all():
            field.fill(share)
    page.get_by_role("button", name="Save the fibre shares").click()
    expect(page.get_by_text("the fibre share of 5 plies changed")).to_be_visible()
    assert figure(page, "Reinforcement laid") == pytest.approx(GLASS_KG, abs=0.01)
    assert figure(page, "In the laminate") == pytest.approx(RESIN_KG, rel=0.003)
    expect(page.get_by_text(re.compile(r"Short by 1[23]\.\d+ kg"))).to_be_visible()  # 28.5 kg and 15 %, 20 kg there

    page.get_by_role("link", name="Open boat 4.9").first.click()
    page.get_by_role("button", name="Plan the cutting").click()
    page.wait_for_url("**/plans/**")
    plan = page.locator("main")
    expect(plan).to_contain_text("Roving 800")
    expect(plan).to_contain_text(re.compile("short", re.I))

    page.goto("/ordering/")
    orders = page.locator("main")
    expect(orders).to_contain_text(re.compile(r"Roving 800\s+1 roll of 40.00 m"), use_inner_text=True)
    expect(orders).to_contain_text(re.compile(r"Laminating resin\s+1 pack of 25.00 kg"), use_inner_text=True)
    expect(orders).not_to_contain_text(re.compile("Mat 300|Mat 450|Roving 600"))
