"""Which labels a run has, each as a drawing asks for it and as a line that is written down."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from labels.calc.label_content import ContainerLabel, Label, RollLabel
from labels.calc.sheet_geometry import Medium
from labels.drawing.layout import lay_out
from labels.runs import Kind, Line
from shopstock.models import Roll, Shop

from .label_of import Item, label_of, place_name


@dataclass(frozen=True)
class ToPrint:
    """One label of a run."""

    item: Item
    kind: str = Kind.OUTSIDE
    plain: bool = False

    @property
    def line(self) -> Line:
        return Line(self.item.code, self.kind, place_name(self.item))

    def label(self, shop: Shop) -> Label:
        label = label_of(self.item, shop)
        if self.kind == Kind.TWIN:
            return replace(label, twin=True)
        return replace(label, pictograms=()) if self.plain and isinstance(label, ContainerLabel) else label


def to_print(items: Sequence[Item], *, copies: int = 1, twins: bool = False, plain: bool = False) -> list[ToPrint]:
    """Each label as often as wanted, the twin of a roll right behind it; an offcut has no tube."""
    wanted = []
    for item in items:
        wanted += copies * [ToPrint(item, plain=plain)]
        if twins and isinstance(item, Roll) and item.kind == Roll.Kind.ROLL:
            wanted.append(ToPrint(item, Kind.TWIN))
    return wanted


def check_printable(labels: Sequence[Label], sheet: Medium) -> None:
    """Raises LabelTooSmallError for the first kind of label that has no room on the sheet."""
    alike = {_size_of(label): label for label in labels}
    for label in alike.values():
        lay_out(label, sheet)


def _size_of(label: Label) -> tuple:
    """Labels alike in this take the same room at least."""
    hazards = (label.pictograms, label.litres) if isinstance(label, ContainerLabel) else ()
    warp = label.warp_along if isinstance(label, RollLabel) else None
    return type(label), len(label.payload), hazards, warp
