"""Every wrong cell is named by line, column and value, with what to do; nothing is stored."""

import datetime

import pytest

from shopstock.models import Movement, Roll
from shopstock.stock_file.actions import FileHasProblems, carry_out, plan_import
from shopstock.stock_file.readers import read_table
from tests.factories import NOON, TODAY, make_container, make_reinforcement, make_roll

HEADINGS = "material;areal weight;width;length;received;lot;code"
GOOD = "WR 600;600 g/m²;1250 mm;50 m;2026-02-01;L1;"


def plan_of(text: str, encoding: str = "utf-8"):
    return plan_import(read_table(text.encode(encoding)), on=TODAY)


def problems_of(text: str) -> list[str]:
    return [str(problem) for problem in plan_of(text).problems]


def line_with(**cells: str) -> str:
    """A file of one line that is right but for the cells given; further columns are added."""
    good = dict(zip(HEADINGS.split(";"), GOOD.split(";"), strict=True))
    line = good | {name.replace("_", " "): value for name, value in cells.items()}
    return ";".join(line) + "\n" + ";".join(line.values())


@pytest.fixture
def roving(db):
    return make_reinforcement("WR 600")


@pytest.mark.parametrize(
    ("cells", "message"),
    [
        (
            {"material": ""},
            "Line 2, material, “”: Empty. Enter the material.",
        ),
        (
            {"material": "WR 60"},
            "Line 2, material, “WR 60”: Not in the catalogue. Did you mean “WR 600”? Correct the name, or fill in "
            "form, fibre, areal weight and sold length in this line to have it made.",
        ),
        (
            {"areal_weight": "800 g/m²"},
            "Line 2, areal weight, “800 g/m²”: WR 600 weighs 600 g/m². Correct the weight or the material.",
        ),
        (
            {"areal_weight": "600"},
            "Line 2, areal weight, “600”: 600 has no unit. Did you mean 600 g/m² (17.70 oz/yd²)?",
        ),
        (
            {"form": "cloth"},
            "Line 2, form, “cloth”: WR 600 is woven roving. Correct the form or the material, or leave it empty.",
        ),
        (
            {"form": "clothe"},
            "Line 2, form, “clothe”: “clothe” is no form. Did you mean “cloth”?",
        ),
        (
            {"width": ""},
            "Line 2, width, “”: Empty. Enter the width.",
        ),
        (
            {"width": "1.25"},
            "Line 2, width, “1.25”: Write the unit too: “1.25” could be anything. For example 12.5 m or 50 in.",
        ),
        (
            {"width": "1.25 mm"},
            "Line 2, width, “1.25 mm”: 1 mm is narrower than any fabric. Check the number and its unit.",
        ),
        (
            {"width": "12 m"},
            "Line 2, width, “12 m”: 12000 mm is wider than any fabric. Check the number and its unit.",
        ),
        (
            {"length": "-5 m"},
            "Line 2, length, “-5 m”: A length cannot be negative: “-5 m”.",
        ),
        (
            {"length": "0 m"},
            "Line 2, length, “0 m”: Nothing is on this roll. Delete the line, or enter what is left.",
        ),
        (
            {"length": "50 mi"},
            "Line 2, length, “50 mi”: “mi” is not a unit known here. Did you mean m?",
        ),
        (
            {"length": "5000 m"},
            "Line 2, length, “5000 m”: 5000 m is more than any roll holds. Check the number and its unit.",
        ),
        (
            {"length": "12 mm"},
            "Line 2, length, “12 mm”: 12 mm is shorter than anything worth keeping. Check the number and its unit.",
        ),
        (
            {"length": "1,200 mm"},
            "Line 2, length, “1,200 mm”: “1,200” can be read in two ways. Write 1200 or 1.200.",
        ),
        (
            {"length": "fifty"},
            "Line 2, length, “fifty”: “fifty” is not a number with a unit. Write it like 12.5 m.",
        ),
        (
            {"received": "02/03/2025"},
            "Line 2, received, “02/03/2025”: “02/03/2025” can be read in two ways. Write 2025-03-02 or 2025-02-03.",
        ),
        (
            {"received": "2027-01-01"},
            "Line 2, received, “2027-01-01”: 2027-01-01 is still to come. Write the day on which it arrived.",
        ),
        (
            {"received": "31.2.2025"},
            "Line 2, received, “31.2.2025”: “31.2.2025” is no day of the calendar. Write it like 2026-03-02.",
        ),
        (
            {"code": "B00001"},
            "Line 2, code, “B00001”: A code has 7 characters; B00001 has 6. Type it again from the label.",
        ),
        (
            {"rolls": "many"},
            "Line 2, rolls, “many”: Write how many alike rolls there are, 1 to 500.",
        ),
        (
            {"code": "B000008", "rolls": "2"},
            "Line 2, rolls, “2”: One code is one roll. Give each roll its own line and code.",
        ),
        (
            {"price": "12 EUR"},
            "Line 2, price, “12 EUR”: A price is a number alone, not below zero, such as 120.50.",
        ),
        (
            {"gross_weight": "2 kg", "tube_weight": "3 kg"},
            "Line 2, gross weight, “2 kg”: A roll weighs more than its tube. Check both weights.",
        ),
        (
            {"condition": "quarantined"},
            "Line 2, condition reason, “”: Say why the roll is quarantined.",
        ),
        (
            {"condition": "perfect"},
            "Line 2, condition, “perfect”: “perfect” is no condition. Write one of: usable, quarantined.",
        ),
        (
            {"faults": "creased somewhere"},
            "Line 2, faults, “creased somewhere”: “creased somewhere” is no fault. Write from-to, unit and cause, such "
            "as 12.5-12.8 m crease.",
        ),
        (
            {"faults": "49-51 m crease"},
            "Line 2, faults, “49-51 m crease”: A fault lies past the end of the roll. Check its place.",
        ),
        (
            {"label_length": "30 m"},
            "Line 2, length, “50 m”: More than its label says (30 m). Check both.",
        ),
        (
            {"lot": "L" * 41},
            f"Line 2, lot, “{'L' * 40}…”: Longer than 40 characters. Shorten it.",
        ),
    ],
)
def test_wrong_cell_is_named_with_what_to_do(roving, cells, message):
    assert problems_of(line_with(**cells)) == [message]


def test_good_line_has_no_problem(roving):
    assert problems_of(line_with()) == []


def test_several_wrong_cells_are_all_named_in_the_order_of_lines(roving):
    text = "\n".join([HEADINGS, GOOD, ";;1250 mm;-1 m;never;;", "WR 600;;x;50 m;;L2;"])
    assert [(problem.line, problem.column) for problem in plan_of(text).problems] == [
        (3, "material"),
        (3, "length"),
        (3, "received"),
        (4, "width"),
    ]


def test_same_line_twice_is_refused_with_the_way_to_say_several(roving):
    assert problems_of("\n".join([HEADINGS, GOOD, GOOD])) == [
        "Line 3, whole line, “WR 600”: The same as line 2. Delete it, or if there are several alike rolls, write how "
        "many in a column “rolls” of one line."
    ]


def test_same_code_twice_is_refused(roving):
    lines = [HEADINGS, GOOD + "B000008", "WR 600;;1250 mm;20 m;;L2;b00 0008"]
    assert problems_of("\n".join(lines)) == [
        "Line 3, code, “B000008”: Line 2 has this code already. Correct one of them."
    ]


def test_code_of_a_container_is_refused(roving, clerk):
    container = make_container(by=clerk)
    assert problems_of(line_with(code=container.code)) == [
        f"Line 2, code, “{container.code}”: This code is on a container. Correct it, or leave it empty for a new one."
    ]


def test_code_of_a_roll_of_another_fabric_is_refused(roving, clerk):
    roll = make_roll(by=clerk, reinforcement=make_reinforcement("Mat 450", form="mat"))
    assert problems_of(line_with(code=roll.code)) == [
        f"Line 2, code, “{roll.code}”: This code is on a roll of Mat 450. Correct it, or leave it empty for a new one."
    ]


def test_decimal_comma_that_split_a_cell_is_noticed(roving):
    text = "material,width (m),length (m)\nWR 600,1,25,50"
    assert problems_of(text) == [
        "Line 2, whole line, “50”: There are more cells than headings (3). A cell with the separator in it needs "
        "quotes; where commas are decimal, separate the columns by semicolons."
    ]


def test_unknown_fabric_is_told_once_when_its_definition_is_wrong(db):
    text = "material;form;fibre;areal weight;sold length;width;length\n" + "\n".join(
        ["New;woven roving;glass;1.5 oz/ft²;-3 m;1 m;5 m", "New;;;;;1 m;6 m"]
    )
    assert problems_of(text) == ["Line 2, sold length, “-3 m”: A length cannot be negative: “-3 m”."]


def test_weight_that_only_makes_sense_in_the_other_unit_is_refused(db):
    text = "material;form;fibre;areal weight (oz/yd²);sold length;width;length\nNew;mat;glass;1.5;50 m;1 m;5 m"
    assert problems_of(text) == [
        "Line 2, areal weight, “1.5”: 1.5 oz/yd² is 50.86 g/m², too light for chopped strand mat. Did you mean "
        "1.5 oz/ft² (457.73 g/m²)?"
    ]


def test_two_lines_that_define_one_fabric_differently_are_refused(db):
    text = "\n".join(
        [
            "material;form;fibre;areal weight;sold length;width;length",
            "New;mat;glass;450 g/m²;50 m;1 m;5 m",
            "new;mat;carbon;300 g/m²;50 m;1 m;6 m",
        ]
    )
    assert [(problem.line, problem.column) for problem in plan_of(text).problems] == [
        (3, "fibre"),
        (3, "areal weight"),
    ]


def test_stitched_fabric_without_its_layers_is_refused(db):
    text = "material;form;fibre;areal weight;sold length;width;length\nX 600;biax;glass;600 g/m²;50 m;1 m;5 m"
    assert problems_of(text) == [
        "Line 2, layers, “”: The layers of a stitched multiaxial differ by maker: type them from the data sheet, "
        "such as 300 @ +45, 300 @ -45."
    ]


def test_file_of_headings_alone_is_refused(roving):
    assert problems_of(HEADINGS) == ["Line 1, whole file, “”: No roll stands below the headings."]


def test_nothing_is_stored_while_one_line_is_wrong(roving, clerk):
    plan = plan_of("\n".join([HEADINGS, GOOD, "WR 600;;1250 mm;-1 m;;;"]))
    with pytest.raises(FileHasProblems):
        carry_out(plan, by=clerk, at=NOON)
    assert (Roll.objects.count(), Movement.objects.count()) == (0, 0)


def test_too_many_rolls_in_one_file_are_refused(roving):
    lines = [f"WR 600;;1250 mm;{number} m;;;;500" for number in range(1, 102)]
    assert problems_of("\n".join([HEADINGS + ";rolls", *lines])) == [
        "Line 2, rolls, “50500”: More than 50000 rolls at once. Split the file."
    ]


def test_day_of_the_file_is_the_day_of_the_shop(roving):
    assert problems_of(line_with(received=str(TODAY))) == []
    assert problems_of(line_with(received=str(TODAY + datetime.timedelta(days=1)))) != []
