"""From levels to strips: where each blank lies, which of equal blanks it is, and what is left over."""

from collections import Counter
from dataclasses import replace

from jobs.calc.cutting.beside import shared_out
from jobs.calc.cutting.first_fit import Placement
from jobs.calc.cutting.levels import (
    Column,
    Level,
    Task,
    column_across_mm,
    column_along_mm,
    row_along_mm,
)
from jobs.calc.cutting.parting import parted
from jobs.calc.cutting.plan import Offcut, PlacedBlank, Strip
from jobs.calc.cutting.stretches import Stretch


def without_extras(task: Task, placements: list[Placement]) -> list[Placement]:
    """The same placements with every blank beyond the demand taken out, each level as short as it can be cut."""
    extra = Counter()
    for level, _ in placements:
        extra.update(dict(level.counts))
    extra.subtract(dict(enumerate(task.demand)))
    kept = []
    for level, stretch in sorted(placements, key=lambda item: item[0].length_mm):
        level = _lightened(task, level, extra) if any(extra[t] > 0 for t, _ in level.counts) else level
        kept += [(part, stretch) for part in parted(task, level)]
    return kept


def _lightened(task: Task, level: Level, extra: Counter) -> Level:
    columns = []
    for column in sorted(level.columns, key=lambda column: -column_along_mm(task, column)):
        rows = []
        for row in column:
            kept = []
            for shape in row:
                type_ = task.shapes[shape].type
                if extra[type_] > 0:
                    extra[type_] -= 1
                else:
                    kept.append(shape)
            if kept:
                rows.append(tuple(kept))
        if rows:
            columns.append(tuple(rows))
    return task.level(tuple(columns))


def lay_out(task: Task, placements: list[Placement]) -> tuple[list[Strip], list[Offcut], list[Offcut]]:
    """Strips in cutting order, offcuts worth keeping and dead ends."""
    ids = [list(reversed(ids)) for ids in task.blank_ids]
    order = {stock.id: number for number, stock in enumerate(task.problem.stock)}
    strips, left_over = [], []
    for number, stretch in sorted(enumerate(task.stretches), key=lambda s: (order[s[1].stock.id], s[1].from_mm)):
        at_mm = stretch.from_mm
        levels = [level for level, place in placements if place == number]
        for level in sorted(levels, key=lambda level: (-level.length_mm, level.counts)):
            blanks, spare = _fill(task, level, stretch, at_mm, ids)
            strips.append(Strip(stretch.stock.id, at_mm, level.length_mm, blanks))
            left_over += spare
            at_mm += level.length_mm
    strips = sorted([*task.problem.locked_strips, *strips], key=lambda strip: (order[strip.stock], strip.from_mm))
    left_over += _ends(task, strips)
    keep = [piece for piece in left_over if _worth_keeping(task, piece)]
    dead = [piece for piece in left_over if not _worth_keeping(task, piece) and _is_end(task, piece)]
    return strips, keep, dead


def _fill(task: Task, level: Level, stretch: Stretch, at_mm: int, ids: list[list[str]]):
    columns = sorted(level.columns, key=lambda column: (-column_along_mm(task, column), column))
    parts = [(stretch.x_mm, stretch.width_mm), *stretch.sides]
    widths_mm = [column_across_mm(task, column) for column in columns]
    place = shared_out(widths_mm, [width_mm for _, width_mm in parts])
    blanks: list[PlacedBlank] = []
    spare: list[Offcut] = []
    for number, (x_mm, width_mm) in enumerate(parts):
        mine = [column for column, part in zip(columns, place, strict=True) if part == number]
        part = replace(stretch, x_mm=x_mm, width_mm=width_mm, sides=())
        more, left = _fill_part(task, mine, level.length_mm, part, at_mm, ids)
        blanks += more
        spare += left
    return tuple(sorted(blanks, key=lambda blank: (blank.x_mm, blank.y_mm))), spare


def _fill_part(task: Task, columns: list[Column], length_mm: int, stretch: Stretch, at_mm: int, ids: list[list[str]]):
    blanks: list[PlacedBlank] = []
    spare: list[Offcut] = []
    x_mm = stretch.x_mm
    for column in columns:
        across_mm, along_mm = column_across_mm(task, column), column_along_mm(task, column)
        blanks += _stack(task, column, x_mm, ids)
        if along_mm < length_mm:
            spare.append(Offcut(stretch.stock.id, at_mm + along_mm, length_mm - along_mm, x_mm, across_mm))
        x_mm += across_mm
    end_mm = stretch.x_mm + stretch.width_mm
    if x_mm < end_mm:
        spare.append(Offcut(stretch.stock.id, at_mm, length_mm, x_mm, end_mm - x_mm))
    return blanks, spare


def _stack(task: Task, column: Column, x_mm: int, ids: list[list[str]]) -> list[PlacedBlank]:
    extra_mm = task.problem.allowance_mm
    blanks, y_mm = [], 0
    for row in sorted(column, key=lambda row: (-sum(task.shapes[s].across_mm for s in row), row)):
        at_mm = x_mm
        for index in row:
            shape = task.shapes[index]
            size = (shape.across_mm - extra_mm, shape.along_mm - extra_mm)
            blanks.append(PlacedBlank(ids[shape.type].pop(), at_mm, y_mm, *size, shape.turned))
            at_mm += shape.across_mm
        y_mm += row_along_mm(task, row)
    return blanks


def _ends(task: Task, strips: list[Strip]) -> list[Offcut]:
    """What stays between strips, faults and ends of the rolls that the plan cuts past or finishes."""
    ends = []
    for stretch in task.stretches:
        mine = [strip for strip in strips if strip.stock == stretch.stock.id]
        last_mm = max((strip.to_mm for strip in mine), default=0)
        used_mm = max((strip.to_mm for strip in mine if stretch.from_mm <= strip.from_mm < stretch.to_mm), default=None)
        start_mm = stretch.from_mm if used_mm is None else used_mm
        left_mm = stretch.to_mm - start_mm
        cut_past = stretch.to_mm <= last_mm
        finished = used_mm == last_mm and left_mm < task.problem.smallest_offcut_length_mm
        if left_mm > 0 and (cut_past or finished) and mine:
            ends.append(Offcut(stretch.stock.id, start_mm, left_mm, stretch.x_mm, stretch.width_mm))
    return ends


def _worth_keeping(task: Task, piece: Offcut) -> bool:
    problem = task.problem
    return piece.length_mm >= problem.smallest_offcut_length_mm and piece.width_mm >= problem.smallest_offcut_width_mm


def _is_end(task: Task, piece: Offcut) -> bool:
    return any(
        piece.stock == s.stock.id and (piece.x_mm, piece.width_mm) == (s.x_mm, s.width_mm) for s in task.stretches
    )
