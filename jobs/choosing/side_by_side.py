"""Up to three lay-ups side by side, by one method and one resin."""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.calc.constituents import Materials
from jobs.calc.laid_ply import LaidPly
from jobs.calc.ply_strength import strength_method
from jobs.calc.stand_in import Measures, measures_of
from jobs.laid_plies import laid_as
from jobs.lay_up_sheet import (
    RULE,
    RuleFigures,
    Sheet,
    bending_curve,
    fibre_curve,
    rule_figures,
    sheet_of,
    stretching_curve,
)
from jobs.lay_up_text import LaidFabric, in_words
from shopstock.calc.polar_picture import Curve

MOST = 3


@dataclass(frozen=True)
class Column:
    """One lay-up of a comparison."""

    number: int
    plies: tuple[LaidFabric, ...]
    sheet: Sheet
    figures: RuleFigures
    measures: Measures

    @property
    def words(self) -> str:
        return in_words(self.plies)

    @property
    def drape(self) -> int:
        return min(ply.fabric.drape_rating for ply in self.plies)


@dataclass(frozen=True)
class SideBySide:
    columns: tuple[Column, ...]
    strength_method: str | None
    fibre: tuple[Curve, ...]
    stretching: tuple[Curve, ...]
    bending: tuple[Curve, ...]


def compared(lay_ups: Sequence[Sequence[LaidFabric]], process: str, materials: Materials) -> SideBySide:
    """Raises what a lay-up can be refused for."""
    stacks = [[laid_as(ply.fabric, ply.direction, process) for ply in plies] for plies in lay_ups]
    method = strength_method([ply for stack in stacks for ply in stack], materials)
    columns = tuple(
        _column(number, tuple(plies), stack, materials, method)
        for number, (plies, stack) in enumerate(zip(lay_ups, stacks, strict=True), start=1)
    )
    named = [(f"{column.number}: {column.words}", column.sheet.plies) for column in columns]
    return SideBySide(
        columns,
        method,
        fibre=tuple(fibre_curve(name, stack) for name, stack in named),
        stretching=tuple(stretching_curve(name, stack, materials) for name, stack in named),
        bending=tuple(bending_curve(name, stack, materials) for name, stack in named),
    )


def _column(number: int, plies, stack: Sequence[LaidPly], materials: Materials, method: str | None) -> Column:
    prices = {ply.fabric.pk: ply.fabric.price_per_m2 for ply in plies}
    return Column(
        number=number,
        plies=plies,
        sheet=sheet_of(stack, materials, RULE, prices, None),
        figures=rule_figures(stack, materials),
        measures=measures_of(stack, materials, method),
    )
