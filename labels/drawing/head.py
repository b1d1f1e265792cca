"""The upper text of a label: the code in the largest type that fits, then what the thing is."""

from labels.calc.label_content import Content
from labels.drawing import fonts
from labels.drawing.arrangement import Box
from labels.drawing.items import Text
from labels.drawing.sizes import LEAST_TEXT_MM, sizes_down
from shopstock.calc.stock_code import group_code

LEAST_CODE_MM = 5.0
_CODE_LINE, _TITLE_LINE, _SUBTITLE_LINE = 1.05, 1.2, 1.25
_CODE_SHARES = (0.55, 0.48, 0.42)
_TITLE_TO_CODE = 0.6
_SUBTITLE_TO_TITLE = 0.75
_TITLE_LINES = 4
_FEWER_LINES_FROM = 0.75
_ROUNDING = 1e-6

LEAST_WIDTH_MM = 29.0
LEAST_HEIGHT_MM = LEAST_CODE_MM * _CODE_LINE + LEAST_TEXT_MM * (_TITLE_LINE + _SUBTITLE_LINE)


def head_items(content: Content, box: Box) -> tuple[list[Text], float]:
    """The lines, and how far down they reach. The code gives way a little where the title would lose its end."""
    title, subtitle = fonts.printable(content.title), fonts.printable(content.subtitle)
    for share in _CODE_SHARES:
        code = _code_line(content.headline or group_code(content.code), box, share)
        used = code.size * _CODE_LINE
        rest = Box(box.x, box.y + used, box.w, box.h - used)
        size = _title_size(title, rest, code.size)
        if size:
            break
    names = _name_items(title, subtitle, rest, size or LEAST_TEXT_MM)
    return [code, *names], names[-1].baseline + fonts.DESCENT * names[-1].size


def _code_line(code: str, box: Box, share: float) -> Text:
    """Set so that its ink begins where the box begins."""
    left, right = fonts.ink_em(code, fonts.BOLD)
    size = min(box.w / (right - left), max(LEAST_CODE_MM, share * box.h / _CODE_LINE))
    x = box.x - left * size
    return Text(x, box.y + fonts.CAP_HEIGHT * size, size, fonts.BOLD, code, box.right - x)


def _name_items(title: str, subtitle: str, box: Box, size: float) -> list[Text]:
    below = _subtitle_size(size)
    lines = fonts.wrapped(title, fonts.BOLD, box.w / size)
    room = max(1, min(_TITLE_LINES, int((box.h - below * _SUBTITLE_LINE) / (size * _TITLE_LINE) + _ROUNDING)))
    kept = fonts.first_lines(lines, room, fonts.BOLD, box.w / size)
    pitch = size * _TITLE_LINE
    titles = [_line(box, box.y + number * pitch, size, fonts.BOLD, text) for number, text in enumerate(kept)]
    return [*titles, _line(box, box.y + len(kept) * pitch, below, fonts.REGULAR, subtitle)]


def _title_size(title: str, box: Box, code_size: float) -> float:
    """The size of a whole title on as few lines as can be without much smaller type, or 0."""
    sizes = _largest_sizes(title, box, code_size)
    return next(size for size in sizes if size >= _FEWER_LINES_FROM * max(sizes))


def _largest_sizes(title: str, box: Box, code_size: float) -> list[float]:
    """The largest size in which the title takes at most one line, at most two, and so on; 0 where none is."""
    largest = [0.0] * _TITLE_LINES
    for size in sizes_down(code_size * _TITLE_TO_CODE):
        lines = len(fonts.wrapped(title, fonts.BOLD, box.w / size))
        height = lines * size * _TITLE_LINE + _subtitle_size(size) * _SUBTITLE_LINE
        if height <= box.h:
            largest = [found or (size if lines <= most else 0.0) for most, found in enumerate(largest, start=1)]
        if largest[0]:
            break
    return largest


def _subtitle_size(title_size: float) -> float:
    return max(LEAST_TEXT_MM, title_size * _SUBTITLE_TO_TITLE)


def _line(box: Box, top: float, size: float, font: str, text: str) -> Text:
    fitting = max(LEAST_TEXT_MM, min(size, box.w / max(fonts.width_em(text, font), 1e-6)))
    kept = fonts.cut_to(text, font, box.w / fitting)
    return Text(box.x - fonts.ink_em(kept, font)[0] * fitting, top + 0.9 * size, fitting, font, kept, box.w)
