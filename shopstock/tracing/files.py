"""A recall as one CSV: a line for each thing that is left and each taking, harmless to a spreadsheet."""

import csv
import io

from shopstock.listing import harmless

from .recall import ClothRecall, ResinRecall, Taking

HEADINGS = (
    "what",
    "code",
    "material",
    "lot or batch",
    "amount",
    "unit",
    "when",
    "by",
    "place",
    "job",
    "part",
    "pieces",
    "note",
)


def cloth_csv(recall: ClothRecall) -> str:
    left = [
        ("left", roll.code, roll.reinforcement.name, roll.lot, roll.length_mm, "mm", "", "", roll.place or "", "", "",
         "", roll.get_condition_display())
        for roll in recall.rolls
    ]  # fmt: skip
    by_pk = {roll.pk: roll for roll in recall.rolls}
    taken = [row for t in recall.takings for row in _taken(t, by_pk[t.of.pk].reinforcement.name, t.of.lot, "mm")]
    return _csv([*left, *taken])


def resin_csv(recall: ResinRecall) -> str:
    left = [
        ("left", c.code, c.chemical.name, c.batch, c.mass_g, "g", "", "", c.place or "", "", "", "",
         f"use by {c.expires_on}")
        for c in recall.containers
    ]  # fmt: skip
    by_pk = {container.pk: container for container in recall.containers}
    taken = [row for t in recall.takings for row in _taken(t, by_pk[t.of.pk].chemical.name, t.of.batch, "g")]
    return _csv([*left, *taken])


def _taken(taking: Taking, material: str, lot: str, unit: str) -> list[tuple]:
    """One line for each part that a taking went into, or one line when none is known."""
    start = (
        taking.kind,
        taking.of.code,
        material,
        lot,
        taking.amount,
        unit,
        f"{taking.at:%Y-%m-%d %H:%M}",
        taking.by,
        "",
    )
    if not taking.uses:
        return [(*start, "", "", "", taking.words)]
    return [(*start, use.job, use.part, "; ".join(use.pieces), taking.words) for use in taking.uses]


def _csv(rows: list[tuple]) -> str:
    file = io.StringIO()
    writer = csv.writer(file)
    writer.writerow(HEADINGS)
    writer.writerows([harmless(str(cell) if not isinstance(cell, int) else cell) for cell in row] for row in rows)
    return file.getvalue()
