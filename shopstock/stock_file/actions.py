import datetime
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from shopstock.calc.forms import form_of
from shopstock.calc.layers import turning_allowed
from shopstock.calc.stock_cells import words_of
from shopstock.calc.stock_columns import Problem, find_heading_line, read_headings
from shopstock.calc.stock_line import Material, StockRow, Words, material_key
from shopstock.calc.stock_rows import read_stock_rows
from shopstock.catalogue import save_reinforcement
from shopstock.ledger import OpeningRoll, codes_in_use, keys_in_the_ledger, record_opening_stock
from shopstock.ledger.faults import FoundFault
from shopstock.models import Fault, Place, Reinforcement, Roll, Supplier

from .readers import Table

Progress = Callable[[str, int, int], None]

WORDS = Words(
    kinds=words_of(dict(Roll.Kind.choices)),
    lyings=words_of(dict(Roll.Lying.choices)),
    conditions=words_of(dict(Roll.Condition.choices)),
    causes=words_of(dict(Fault.Cause.choices)),
)


@dataclass
class ImportPlan:
    """What taking a file in would do; nothing is done while there are problems."""

    rows: list[tuple[str, StockRow]] = field(default_factory=list)  # key, row: one for each roll to add
    known: int = 0
    known_with_another_length: int = 0
    problems: list[Problem] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)
    note: str = ""
    materials: dict[str, Material] = field(default_factory=dict)
    suppliers: list[str] = field(default_factory=list)
    places: list[str] = field(default_factory=list)

    @property
    def length_mm(self) -> int:
        return sum(row.length_mm for _, row in self.rows)


class FileHasProblems(Exception):
    """Somebody tried to take in a file with wrong lines."""


def plan_import(table: Table, *, on: datetime.date, progress: Progress | None = None) -> ImportPlan:
    """Read a stock file against the catalogue and the store, without writing anything."""
    start = find_heading_line(table.lines)
    headings = read_headings(*table.lines[start])
    reading = read_stock_rows(
        headings,
        table.lines[start + 1 :],
        catalogue=catalogue(),
        words=WORDS,
        on=on,
        progress=progress and (lambda done, total: progress("read", done, total)),
    )
    plan = ImportPlan(
        problems=reading.problems, ignored=headings.ignored, note=table.note, materials=reading.new_materials
    )
    if not plan.problems and not reading.rows:
        plan.problems.append(Problem(table.lines[start][0], "whole file", "", "No roll stands below the headings."))
    _sort_out_known(plan, reading.rows)
    if not plan.problems:
        plan.suppliers = _new_names(Supplier, [row.supplier for _, row in plan.rows])
        plan.places = _new_names(Place, [row.place for _, row in plan.rows])
    return plan


def catalogue() -> dict[str, Material]:
    return {
        material_key(fabric.name): Material(
            fabric.name, fabric.form, fabric.fibre, fabric.weave, fabric.areal_weight_gsm
        )
        for fabric in Reinforcement.objects.all()
    }


def _sort_out_known(plan: ImportPlan, rows: list[StockRow]) -> None:
    """Rows that this or another file brought before are passed over; so are codes that already stand in the store."""
    keyed = [(key, row) for row in rows for key in _keys(row)]
    known_keys = keys_in_the_ledger(key for key, _ in keyed)
    taken = codes_in_use(row.code for row in rows if row.code)
    stored = {
        roll.code: roll
        for start in range(0, len(taken), 500)
        for roll in Roll.objects.filter(code__in=sorted(taken)[start : start + 500]).select_related("reinforcement")
    }
    for key, row in keyed:
        if key in known_keys or _is_stored(plan, row, taken, stored):
            plan.known += 1
        else:
            plan.rows.append((key, row))


def _keys(row: StockRow) -> Iterator[str]:
    """One key for each of the alike rolls, the same for the same content in any file."""
    fingerprint = row.fingerprint()
    return (f"opening:{fingerprint}:{number}" for number in range(1, row.rolls + 1))


def _is_stored(plan: ImportPlan, row: StockRow, taken: set[str], stored: Mapping[str, Roll]) -> bool:
    if row.code not in taken:
        return False
    roll = stored.get(row.code)
    if roll is None or material_key(roll.reinforcement.name) != material_key(row.material):
        owner = f"a roll of {roll.reinforcement}" if roll else "a container"
        plan.problems.append(
            Problem(
                row.line, "code", row.code, f"This code is on {owner}. Correct it, or leave it empty for a new one."
            )
        )
    elif roll.length_mm != row.length_mm:
        plan.known_with_another_length += 1
    return True


def _new_names(table: type[Supplier] | type[Place], names: list[str]) -> list[str]:
    wanted: dict[str, str] = {}
    for name in filter(None, names):
        wanted.setdefault(name.casefold(), name)
    existing = {name.casefold() for name in table.objects.values_list("name", flat=True)}
    return [name for key, name in wanted.items() if key not in existing]


@transaction.atomic
def carry_out(
    plan: ImportPlan, *, by: AbstractBaseUser, at: datetime.datetime, progress: Progress | None = None
) -> list[Roll]:
    """Make what is new in the catalogue, then every roll of the file: all or nothing."""
    if plan.problems:
        raise FileHasProblems(f"{len(plan.problems)} places in the file are wrong. Correct them first.")
    for name in plan.suppliers:
        Supplier.objects.get_or_create(name=name)
    for name in plan.places:
        Place.objects.get_or_create(name=name)
    for material in plan.materials.values():
        _make_material(material)
    return record_opening_stock(
        rolls=_opening_rolls(plan),
        by=by,
        at=at,
        progress=progress and (lambda done, total: progress("stored", done, total)),
    )


def _make_material(material: Material) -> None:
    if Reinforcement.objects.filter(name=material.name).exists():
        return
    fabric = Reinforcement(
        name=material.name,
        form=material.form,
        fibre=material.fibre,
        weave=material.weave,
        areal_weight_gsm=material.areal_weight_gsm,
        weight_tolerance_percent=form_of(material.form).weight_tolerance_percent,
        width_mm=material.width_mm,
        roll_length_mm=material.roll_length_mm,
        turning=turning_allowed(material.layers),
    )
    save_reinforcement(fabric, material.layers)


def _opening_rolls(plan: ImportPlan) -> list[OpeningRoll]:
    fabrics = {material_key(fabric.name): fabric for fabric in Reinforcement.objects.all()}
    suppliers = {supplier.name.casefold(): supplier for supplier in Supplier.objects.all()}
    places = {place.name.casefold(): place for place in Place.objects.all()}
    return [
        OpeningRoll(
            key=key,
            reinforcement=fabrics[material_key(row.material)],
            width_mm=row.width_mm,
            length_mm=row.length_mm,
            code=row.code,
            kind=row.kind,
            label_length_mm=row.label_length_mm,
            lot=row.lot,
            supplier=suppliers.get(row.supplier.casefold()),
            place=places.get(row.place.casefold()),
            lying=row.lying,
            received_on=row.received,
            price=row.price,
            gross_g=row.gross_g,
            tube_g=row.tube_g,
            faults=tuple(FoundFault(f.from_free_mm, f.to_free_mm, f.cause, f.note[:200]) for f in row.faults),
            quarantine_reason=row.quarantine_reason,
        )
        for key, row in plan.rows
    ]
