"""The sheets and label rolls that labels are printed on: sizes, and where each label lies. All lengths in mm."""

from dataclasses import dataclass

# Office printers leave about this much of a sheet's edge white.
UNPRINTABLE_MM = 4.3
_LEAST_INSET_MM = 1.0
_LEAST_DPI = 150
_LARGEST_PAGE_MM = 1000.0
_ROUNDING_MM = 0.01


class MediumError(ValueError):
    """The sizes of a sheet do not go together; the message says which."""


class SlotError(ValueError):
    """The first free label lies outside the sheet."""


@dataclass(frozen=True)
class Medium:
    """A sheet of labels, or a single label when it has one column and one row. dpi is the printer's dots an inch."""

    name: str
    page_w: float
    page_h: float
    label_w: float
    label_h: float
    cols: int = 1
    rows: int = 1
    left: float = 0.0
    top: float = 0.0
    pitch_x: float = 0.0
    pitch_y: float = 0.0
    dpi: int = 600
    offset_x: float = 0.0
    offset_y: float = 0.0

    @property
    def labels_a_page(self) -> int:
        return self.cols * self.rows

    @property
    def dot_mm(self) -> float:
        return 25.4 / self.dpi

    @property
    def inset_x(self) -> float:
        right = self.page_w - self.left - (self.cols - 1) * self.pitch_x - self.label_w
        return self._inset(min(self.left, right))

    @property
    def inset_y(self) -> float:
        bottom = self.page_h - self.top - (self.rows - 1) * self.pitch_y - self.label_h
        return self._inset(min(self.top, bottom))

    def _inset(self, white: float) -> float:
        """How far a label's print stays from its edge. A label printer reaches the edge, an office printer does not."""
        if self.labels_a_page == 1 and white <= _ROUNDING_MM:
            return _LEAST_INSET_MM
        return max(_LEAST_INSET_MM, UNPRINTABLE_MM - white)


@dataclass(frozen=True)
class Slot:
    """The upper left corner of one label, in mm from the upper left corner of its page."""

    number: int
    x: float
    y: float


def single(name: str, width: float, height: float, dpi: int = 203) -> Medium:
    """Return the medium of a label printer that prints one label a page; width and height in mm."""
    return Medium(name, width, height, width, height, pitch_x=width, pitch_y=height, dpi=dpi)


MEDIA = (
    Medium("A4, 3 x 7 labels of 63.5 x 38.1 mm", 210, 297, 63.5, 38.1, 3, 7, 7.25, 15.15, 66.0, 38.1),
    Medium("A4, 2 x 7 labels of 99.1 x 38.1 mm", 210, 297, 99.1, 38.1, 2, 7, 4.65, 15.15, 101.6, 38.1),
    Medium("A4, 3 x 8 labels of 70 x 37 mm", 210, 297, 70, 37, 3, 8, 0, 0.5, 70, 37),
    Medium("A4, 2 x 4 labels of 105 x 74.25 mm", 210, 297, 105, 74.25, 2, 4, 0, 0, 105, 74.25),
    Medium("Letter, 3 x 10 labels of 66.68 x 25.4 mm", 215.9, 279.4, 66.68, 25.4, 3, 10, 4.76, 12.7, 69.85, 25.4),
    single("Label printer, 100 x 50 mm", 100, 50),
    single("Label printer, 57 x 32 mm", 57, 32),
    single("Label printer, 100 x 150 mm", 100, 150),
)


def medium_problems(medium: Medium) -> list[str]:
    """Return what is wrong with the sizes of a sheet, one sentence each; empty when they go together.

    medium: lengths in mm, dpi in dots an inch. Result: sentences. Raises nothing.
    Source: own rules: labels lie on the page and do not overlap.
    Worked: three columns of 70 mm on a page of 200 mm reach 10 mm beyond it.
    """
    return _size_problems(medium) or _overlap_problems(medium) + _page_problems(medium)


def slots(medium: Medium, first_free_slot: int = 1) -> list[Slot]:
    """Return the labels of one page from the first free one on, row by row.

    medium: lengths in mm. first_free_slot: counted from 1 along the rows. Result: corners in mm, the printer's
    correction (offset_x to the right, offset_y down) added.
    Raises MediumError for sizes that do not go together, SlotError for a first label outside the page.
    Source: plain geometry.
    Worked: the fifth label of 3 x 7 labels of 63.5 x 38.1 mm lies at 73.25 mm, 53.25 mm.
    """
    problems = medium_problems(medium)
    if problems:
        raise MediumError(" ".join(problems))
    if not 1 <= first_free_slot <= medium.labels_a_page:
        raise SlotError(f"{medium.name} has labels 1 to {medium.labels_a_page}; there is no label {first_free_slot}.")
    return [_slot(medium, number) for number in range(first_free_slot, medium.labels_a_page + 1)]


def pages(medium: Medium, count: int, first_free_slot: int = 1) -> list[list[Slot]]:
    """Return the places of a number of labels, page by page; only the first page has used labels.

    medium: lengths in mm. count: labels. first_free_slot: counted from 1. Result: corners in mm.
    Raises as slots does.
    Source: plain geometry.
    Worked: 25 labels on 3 x 7 sheets from label 20 on take pages of 2, 21 and 2 labels.
    """
    taken, start = [], first_free_slot
    while count > 0:
        page = slots(medium, start)[:count]
        taken.append(page)
        count, start = count - len(page), 1
    return taken


def _slot(medium: Medium, number: int) -> Slot:
    row, col = divmod(number - 1, medium.cols)
    x = medium.left + col * medium.pitch_x + medium.offset_x
    y = medium.top + row * medium.pitch_y + medium.offset_y
    return Slot(number, round(x, 4), round(y, 4))


def _size_problems(medium: Medium) -> list[str]:
    problems = []
    if min(medium.label_w, medium.label_h) <= 0 or min(medium.page_w, medium.page_h) <= 0:
        problems.append("Give the width and height of page and label in mm, all more than 0.")
    if max(medium.page_w, medium.page_h) > _LARGEST_PAGE_MM:
        problems.append(f"A page is at most {_LARGEST_PAGE_MM:g} mm long. Check the unit: sizes are in mm.")
    if min(medium.cols, medium.rows) < 1:
        problems.append("A page has at least one column and one row of labels.")
    if medium.dpi < _LEAST_DPI:
        problems.append(f"The printer needs {_LEAST_DPI} dots an inch or more; {medium.dpi} is too coarse for a code.")
    return problems


def _overlap_problems(medium: Medium) -> list[str]:
    problems = []
    if medium.cols > 1 and medium.pitch_x < medium.label_w - _ROUNDING_MM:
        problems.append(f"Columns {medium.pitch_x:g} mm apart overlap: a label is {medium.label_w:g} mm wide.")
    if medium.rows > 1 and medium.pitch_y < medium.label_h - _ROUNDING_MM:
        problems.append(f"Rows {medium.pitch_y:g} mm apart overlap: a label is {medium.label_h:g} mm high.")
    return problems


def _page_problems(medium: Medium) -> list[str]:
    problems = []
    if min(medium.left, medium.top) < 0:
        problems.append("The first label starts outside the page: left and top are 0 mm or more.")
    beyond_x = medium.left + (medium.cols - 1) * medium.pitch_x + medium.label_w - medium.page_w
    beyond_y = medium.top + (medium.rows - 1) * medium.pitch_y + medium.label_h - medium.page_h
    if beyond_x > _ROUNDING_MM:
        problems.append(f"The last column reaches {beyond_x:.1f} mm beyond the page of {medium.page_w:g} mm.")
    if beyond_y > _ROUNDING_MM:
        problems.append(f"The last row reaches {beyond_y:.1f} mm beyond the page of {medium.page_h:g} mm.")
    return problems
