import pytest

from labels.calc.label_content import ACROSS, ALONG, Content, Fact, content_of
from tests.labels.examples import container_label, offcut_label, place_label, roll_label


def test_roll_label_says_what_the_roll_is():
    label = roll_label()
    assert content_of(label) == Content(
        code=label.code,
        payload=label.payload,
        kind="roll",
        title="Woven roving 600 g/m², E-glass",
        subtitle="Roll: woven roving",
        facts=(
            Fact("weight", "600 g/m² (17.7 oz/yd²)"),
            Fact("width", "1270 mm (50 in)"),
            Fact("lot", "L2407-A"),
            Fact("length", "50.00 m on 2026-03-02"),
            Fact("warp", "along length", ALONG),
        ),
        note="keep on the tube, do not fold",
    )


def test_offcut_label_says_that_the_warp_runs_across():
    content = content_of(offcut_label())
    assert (content.subtitle, content.facts[-1]) == ("Offcut: woven roving", Fact("warp", "across length", ACROSS))


def test_roll_label_of_a_material_without_warp_leaves_it_out():
    facts = content_of(roll_label(warp_along=None)).facts
    assert [fact.caption for fact in facts] == ["weight", "width", "lot", "length"]


def test_roll_label_without_lot_says_so():
    assert Fact("lot", "not given") in content_of(roll_label(lot="")).facts


def test_container_label_leaves_a_line_for_the_day_of_opening():
    facts = content_of(container_label(hazard_codes=("GHS02", "H226"))).facts
    assert facts == (
        Fact("batch", "B 24-1187"),
        Fact("use by", "2026-11-30"),
        Fact("opened", ""),
        Fact("hazards", "GHS02 H226", wide=True),
    )


def test_container_label_without_hazard_codes_points_to_the_data_sheet():
    facts = content_of(container_label(hazard_codes=())).facts
    assert facts[-1] == Fact("hazards", "see the safety data sheet", wide=True)


def test_place_label_says_what_is_kept_there():
    content = content_of(place_label())
    assert (content.title, content.subtitle, content.facts) == (
        "Rack 2, shelf B",
        "Shelf",
        (Fact("keeps", "rolls up to 1300 mm wide"),),
    )


def test_anything_else_is_no_label():
    with pytest.raises(TypeError, match="str is no kind of label"):
        content_of("roll")
