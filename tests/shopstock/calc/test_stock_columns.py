import pytest

from shopstock.calc.stock_columns import find_heading_line, read_headings

NEEDED = ["material", "width (mm)", "length (m)"]


@pytest.mark.parametrize(
    ("heading", "key", "unit"),
    [
        ("MATERIAL", "material", None),
        ("Areal  Weight (oz/yd²)", "areal_weight", "oz/yd²"),
        ("areal weight [oz/ft^2]", "areal_weight", "oz/ft²"),
        ("weight (oz)", "areal_weight", "oz"),
        ("gsm", "areal_weight", "g/m²"),
        ("width_mm", "width", "mm"),
        ("Width, in", "width", "in"),
        ("length in yd", "length", "yd"),
        ("Roll length as sold (yd)", "sold_length", "yd"),
        ("Lot no.", "lot", None),
        ("fiber", "fibre", None),
        ("Gross weight (lb)", "gross", "lb"),
    ],
)
def test_heading_is_recognised_in_any_case_and_with_its_unit(heading, key, unit):
    found = read_headings(1, [heading]).by_key
    assert {name: column.unit for name, column in found.items()} == {key: unit}


@pytest.mark.parametrize("heading", ["unit", "length unit", "units of length", "UOM"])
def test_unit_column_belongs_to_the_column_it_names_or_follows(heading):
    assert read_headings(1, ["material", "width (mm)", "length", heading]).unit_places == {"length": 3}


@pytest.mark.parametrize(
    ("cells", "message"),
    [
        (["material", "width (mm)"], "Line 1, length, “”: There is no column “length”. Add it."),
        (
            [*NEEDED, "Locaton"],
            "Line 1, Locaton, “Locaton”: There is no such column. Did you mean “place”? Correct the heading.",
        ),
        (
            [*NEEDED, "fabric"],
            "Line 1, fabric, “fabric”: This column is there twice, also as “material”. Keep one.",
        ),
        (
            ["material", "width (kg)", "length (m)"],
            "Line 1, width (kg), “kg”: kg does not measure length. Write mm, for example.",
        ),
        (
            ["material", "width (inn)", "length (m)"],
            "Line 1, width (inn), “inn”: “inn” is not a unit known here. Did you mean in?",
        ),
        (
            ["material (kg)", "width (mm)", "length (m)"],
            "Line 1, material (kg), “kg”: The column “material” has no unit. Take “kg” out of the heading.",
        ),
    ],
)
def test_heading_that_is_wrong_is_named_with_what_to_do(cells, message):
    assert [str(problem) for problem in read_headings(1, cells).problems] == [message]


def test_column_that_means_nothing_is_passed_over_by_name():
    found = read_headings(1, [*NEEDED, "colour", "", None])
    assert (found.ignored, found.problems) == (["colour"], [])


def test_headings_may_stand_below_a_title():
    lines = [(1, ["Stock of March"]), (3, ["Material", "Length"]), (4, ["Mat 450", "12 m"])]
    assert find_heading_line(lines) == 1
