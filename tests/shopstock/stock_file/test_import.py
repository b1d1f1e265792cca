"""What a stock file brings into the store: rolls, through the ledger, once."""

import datetime
import io
from decimal import Decimal

import openpyxl
import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shopstock import ledger
from shopstock.calc.stock_cells import shielded, text_of, unshielded
from shopstock.ledger.faults import FoundFault
from shopstock.ledger_check import differences
from shopstock.models import Fault, Layer, Movement, Place, Reinforcement, Roll, Supplier
from shopstock.stock_file.actions import carry_out, plan_import
from shopstock.stock_file.readers import read_table
from shopstock.stock_file.writers import stock_lines, write_csv, write_xlsx
from tests.factories import (
    NOON,
    TODAY,
    make_person,
    make_place,
    make_reinforcement,
    make_roll,
    make_supplier,
    new_key,
)

WRITERS = [write_csv, write_xlsx]


def take_in(data: bytes, by, at=NOON):
    plan = plan_import(read_table(data), on=TODAY)
    assert [str(problem) for problem in plan.problems] == []
    return carry_out(plan, by=by, at=at)


def sizes() -> list[tuple[str, int, int]]:
    return list(Roll.objects.order_by("pk").values_list("reinforcement__name", "width_mm", "length_mm"))


def xlsx(*rows) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


@pytest.fixture
def roving(db):
    return make_reinforcement("WR 600")


def test_units_may_be_mixed_in_headings_cells_and_a_unit_column(roving, clerk):
    text = "\n".join(
        [
            "Material;Width (in);Length;Unit;Areal weight",
            "wr 600;50;30;yd;17.7 oz/yd²",
            "WR 600;1250 mm;100;ft;600 g/m²",
            "WR  600;49,5;12,5 m;;",
        ]
    )
    take_in(text.encode("latin-1"), clerk)
    assert sizes() == [("WR 600", 1270, 27_432), ("WR 600", 1250, 30_480), ("WR 600", 1257, 12_500)]


def test_spreadsheets_own_dates_and_numbers_are_read(roving, clerk):
    day = datetime.datetime(2026, 1, 15)  # noqa: DTZ001 - a spreadsheet knows no time zone
    data = xlsx(
        ["material", "width (mm)", "length (m)", "received", "lot", "price"],
        ["WR 600", 1250, 50.5, day, 4711, 120.5],
        ["WR 600", 1250.0, 20, 46_037, "0042", 99],
    )
    take_in(data, clerk)
    assert list(Roll.objects.order_by("pk").values_list("length_mm", "received_on", "lot", "price")) == [
        (50_500, datetime.date(2026, 1, 15), "4711", Decimal("120.50")),
        (20_000, datetime.date(2026, 1, 15), "0042", Decimal("99.00")),
    ]


def test_alike_rolls_in_one_line_get_a_code_each(roving, clerk):
    take_in(b"material;width;length;rolls\nWR 600;1250 mm;50 m;3", clerk)
    assert sizes() == [("WR 600", 1250, 50_000)] * 3
    assert len(set(Roll.objects.values_list("code", flat=True))) == 3


def test_unknown_fabric_is_made_from_the_line_that_defines_it(clerk):
    text = (
        "material;form;fibre;areal weight;sold length;sold width;width;length;kind\n"
        "Mat 1.5;CSM;glass;1.5 oz/ft²;60 yd;50 in;400 mm;2 m;offcut\n"
        "mat 1.5;;;;;;1270 mm;30 m;\n"
    )
    take_in(text.encode(), clerk)
    made = Reinforcement.objects.get()
    assert (made.name, made.form, made.fibre, made.weave, made.turning) == ("Mat 1.5", "mat", "e_glass", "none", "any")
    assert (made.areal_weight_gsm, made.width_mm, made.roll_length_mm) == (Decimal("457.73"), 1270, 54_864)
    assert list(Layer.objects.values_list("angle_deg", "areal_weight_gsm")) == [(None, Decimal("457.73"))]
    assert list(Roll.objects.order_by("pk").values_list("kind", "length_mm")) == [("offcut", 2_000), ("roll", 30_000)]


def test_supplier_and_place_are_found_in_any_case_or_made(roving, clerk):
    make_supplier("Northern Fabrics")
    text = "material;width;length;supplier;place\nWR 600;1 m;5 m;northern fabrics;Rack A\nWR 600;1 m;6 m;;rack a\n"
    take_in(text.encode(), clerk)
    assert list(Supplier.objects.values_list("name", flat=True)) == ["Northern Fabrics"]
    assert list(Place.objects.values_list("name", flat=True)) == ["Rack A"]


def test_every_roll_has_its_receipt_and_the_ledger_agrees(roving, clerk):
    text = (
        "material;width;length;condition;condition reason;faults\n"
        'WR 600;1 m;50 m;quarantined;box was wet;"12.5-12.8 m crease (deep); 12.7-13 m wet"\n'
    )
    take_in(text.encode(), clerk)
    roll = Roll.objects.get()
    lines = roll.movements.order_by("pk").values_list("kind", "delta_mm", "balance_after_mm", "by", "reason")
    assert list(lines) == [
        ("receipt", 50_000, 50_000, clerk.pk, "opening stock"),
        ("fault", 0, 50_000, clerk.pk, "crease, 12.50 m to 12.80 m from the free end: deep"),
        ("fault", 0, 50_000, clerk.pk, "wet, 12.70 m to 13.00 m from the free end"),
        ("quarantine", 0, 50_000, clerk.pk, "box was wet"),
    ]
    assert (roll.condition, roll.condition_reason, roll.faulty_mm) == ("quarantined", "box was wet", 500)
    assert list(roll.faults.values_list("from_mm", "to_mm", "cause", "note")) == [
        (37_200, 37_500, Fault.Cause.CREASE, "deep"),
        (37_000, 37_300, Fault.Cause.WET, ""),
    ]
    assert list(differences()) == []


def test_same_file_twice_adds_nothing(roving, clerk):
    data = b"material;width;length;rolls\nWR 600;1250 mm;50 m;2\nWR 600;1250 mm;20 m;"
    take_in(data, clerk)
    before = Movement.objects.count()
    assert take_in(data, clerk) == []
    assert (Roll.objects.count(), Movement.objects.count()) == (3, before)


def test_same_rows_in_another_order_and_other_units_add_nothing(roving, clerk):
    take_in(b"material;width;length\nWR 600;1250 mm;50 m\nWR 600;1250 mm;20 m", clerk)
    assert take_in(b"Length (mm),Width (cm),Material\n20000,125,wr 600\n50000,125,WR 600\n", clerk) == []


def test_row_added_to_the_file_is_the_only_one_taken(roving, clerk):
    data = b"material;width;length\nWR 600;1250 mm;50 m\n"
    take_in(data, clerk)
    take_in(data + b"WR 600;1250 mm;7 m\n", clerk)
    assert [length for _, _, length in sizes()] == [50_000, 7_000]


def test_export_taken_into_its_own_store_adds_nothing_after_a_cut(roving, clerk):
    roll = make_roll(by=clerk, reinforcement=roving)
    data = write_csv(stock_lines())
    ledger.record_cut(roll=roll, length_mm=5_000, by=clerk, at=NOON, key=new_key())
    plan = plan_import(read_table(data), on=TODAY)
    assert (plan.rows, plan.known, plan.known_with_another_length) == ([], 1, 1)


def test_code_taken_between_look_and_store_is_refused_whole(roving, clerk):
    plan = plan_import(read_table(b"material;width;length;code\nWR 600;1 m;50 m;\nWR 600;1 m;20 m;B000008"), on=TODAY)
    opening = ledger.OpeningRoll(key="x", reinforcement=roving, width_mm=1000, length_mm=500, code="B000008")
    ledger.record_opening_stock(rolls=[opening], by=clerk, at=NOON)
    with pytest.raises(ledger.LedgerError, match="Code B000008 is in use already"):
        carry_out(plan, by=clerk, at=NOON)
    assert Roll.objects.count() == 1


@pytest.mark.parametrize(
    ("wish", "message"),
    [
        ({"length_mm": 0}, "A length must be more than nothing"),
        ({"faults": (FoundFault(400, 600, "wet"),)}, "A fault must lie on the roll"),
    ],
)
def test_opening_stock_keeps_the_rules_of_a_receipt(roving, clerk, wish, message):
    opening = ledger.OpeningRoll(**{"key": "x", "reinforcement": roving, "width_mm": 1000, "length_mm": 500} | wish)
    with pytest.raises(ledger.LedgerError, match=message):
        ledger.record_opening_stock(rolls=[opening], by=clerk, at=NOON)


def test_opening_stock_of_many_batches_is_whole(roving, clerk):
    rolls = [
        ledger.OpeningRoll(key=f"k{number}", reinforcement=roving, width_mm=1000, length_mm=500 + number)
        for number in range(1_203)
    ]
    done = []
    ledger.record_opening_stock(rolls=rolls, by=clerk, at=NOON, progress=lambda *figures: done.append(figures))
    assert done == [(500, 1_203), (1_000, 1_203), (1_203, 1_203)]
    assert [length for _, _, length in sizes()] == [500 + number for number in range(1_203)]
    assert list(differences()) == []


FIELDS = (
    "code", "kind", "reinforcement__name", "reinforcement__form", "reinforcement__fibre", "reinforcement__weave",
    "reinforcement__areal_weight_gsm", "reinforcement__width_mm", "reinforcement__roll_length_mm", "width_mm",
    "length_mm", "label_length_mm", "faulty_mm", "lot", "supplier__name", "place__name", "lying", "received_on",
    "price", "gross_g", "tube_g", "condition", "condition_reason",
)  # fmt: skip


def snapshot() -> tuple:
    return (
        list(Roll.objects.order_by("code").values_list(*FIELDS)),
        sorted(Fault.objects.values_list("roll__code", "from_mm", "to_mm", "cause", "note")),
        sorted(Layer.objects.values_list("reinforcement__name", "number", "areal_weight_gsm")),
    )


class EmptyStore(Exception):
    """Leaves an inner transaction, so that what was made inside is gone."""


@pytest.mark.parametrize("write", WRITERS)
def test_export_taken_into_an_empty_store_gives_the_same_stock(db, clerk, write):
    try:
        with transaction.atomic():
            make_varied_stock(clerk)
            expected, data = snapshot(), write(stock_lines())
            raise EmptyStore
    except EmptyStore:
        assert Roll.objects.count() == 0
    take_in(data, clerk)
    assert snapshot() == expected


def make_varied_stock(by) -> None:
    roving = make_reinforcement("WR 600")
    sly = make_reinforcement("=1+1", weave="twill", form="cloth", areal_weight_gsm=Decimal("203.55"))
    faults = [FoundFault(12_500, 12_800, "crease", "deep, long"), FoundFault(30_000, 30_001, "splice")]
    weighed = {"gross_g": 31_250, "tube_g": 1_250, "price": Decimal("119.90"), "label_length_mm": 50_000}
    roll = make_roll(by=by, reinforcement=roving, length_mm=49_873, faults=faults, **weighed)
    make_roll(
        by=by, reinforcement=sly, lot="-12", supplier=make_supplier("@home"), place=make_place("'=x"), lying="hanging"
    )
    make_roll(by=by, reinforcement=sly, lot="'tis", quarantine_reason="+ wet; badly, “very”")
    ledger.record_cut(roll=roll, length_mm=1_001, by=by, at=NOON, key=new_key())
    ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_001, by=by, at=NOON, key=new_key())


@pytest.mark.parametrize("write", WRITERS)
def test_no_cell_of_the_export_can_be_taken_for_a_formula(clerk, write):
    make_varied_stock(clerk)
    cells = [cell for _, line in read_table(write(stock_lines())).lines for cell in line if isinstance(cell, str)]
    assert [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))] == []


@given(st.text(alphabet="'=+-@ab1\t", max_size=8))
def test_shielded_text_is_given_back(text):
    assert unshielded(shielded(text)) == text
    assert not shielded(text).startswith(("=", "+", "-", "@", "\t"))


WORDS = st.text(alphabet="abcÄ=+-@'\";,|½²1 ", min_size=1, max_size=20).map(text_of).filter(bool)
LENGTHS = st.integers(50, 2_000_000)


class TestRoundTrip(TestCase):
    @settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(
        stock=st.lists(st.tuples(LENGTHS, st.integers(5, 6_000), WORDS, WORDS), min_size=1, max_size=5),
        write=st.sampled_from(WRITERS),
    )
    def test_file_written_and_read_again_says_the_same(self, stock, write):
        clerk = make_person("clerk", "clerk")
        roving = make_reinforcement("WR 600")
        for length_mm, width_mm, lot, place in stock:
            make_roll(
                by=clerk,
                reinforcement=roving,
                length_mm=length_mm,
                width_mm=width_mm,
                lot=lot,
                place=make_place(place),
                at=NOON,
            )
        table = read_table(write(stock_lines()))
        plan = plan_import(table, on=TODAY)
        assert plan.problems == []
        assert plan.known == len(stock)
        assert plan.known_with_another_length == 0
