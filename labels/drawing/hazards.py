"""The row of hazard pictograms along the lower edge of a container's label."""

from dataclasses import dataclass, replace
from math import sqrt

from labels.calc.hazard_sizes import PictogramSize, pictogram_size
from labels.calc.label_content import Content
from labels.calc.sheet_geometry import Medium
from labels.drawing.items import Pictogram
from shopstock.calc.stock_code import group_code

_GAP_MM = 1.0
_STEP_MM = 0.5


@dataclass(frozen=True)
class HazardBand:
    """Pictograms with a diamond of side_mm, in so many rows; what is above them is left for the rest of the label."""

    codes: tuple[str, ...]
    side_mm: float
    columns: int

    @property
    def square_mm(self) -> float:
        return self.side_mm * sqrt(2)

    @property
    def height(self) -> float:
        return -(-len(self.codes) // self.columns) * (self.square_mm + _GAP_MM)

    def above(self, medium: Medium) -> Medium:
        """The medium without the band, for whatever else the label says."""
        return replace(medium, label_h=medium.label_h - self.height)

    def items(self, medium: Medium) -> list[Pictogram]:
        left, top = medium.inset_x, medium.label_h - medium.inset_y - self.height
        pitch = self.square_mm + _GAP_MM
        return [
            Pictogram(left + column * pitch, top + row * pitch, self.square_mm, code)
            for number, code in enumerate(self.codes)
            for row, column in [divmod(number, self.columns)]
        ]


def bands(content: Content, medium: Medium) -> list[HazardBand]:
    """The bands that the width allows, the largest pictograms first; none where the product has no pictograms."""
    size = pictogram_size(content.litres)
    return [band for side in _sides(size) for band in [_band(content.pictograms, side, medium)] if band]


def _sides(size: PictogramSize) -> list[float]:
    steps = round((size.wanted_mm - size.least_mm) / _STEP_MM)
    return [size.wanted_mm - number * _STEP_MM for number in range(steps + 1)]


def _band(codes: tuple[str, ...], side: float, medium: Medium) -> HazardBand | None:
    room = medium.label_w - 2 * medium.inset_x + _GAP_MM
    columns = int(room // (side * sqrt(2) + _GAP_MM))
    return HazardBand(codes, side, min(columns, len(codes))) if columns else None


def reason(content: Content, medium: Medium) -> str:
    size = pictogram_size(content.litres)
    count = len(content.pictograms)
    pictograms = f"{count} hazard pictogram{'' if count == 1 else 's'}"
    return (
        f"{medium.name} is too small for the container label of {group_code(content.code)} with {pictograms}: for a "
        f"package of {round(content.litres, 1):g} L each has a side of at least {size.least_mm:g} mm. Choose a larger "
        "label, or leave the pictograms out where the maker’s own label is still on the container."
    )
