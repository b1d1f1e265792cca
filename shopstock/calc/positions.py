"""Where on a roll something was found, as people write it: "12.5", "3.2–3.6", "12.5, 30"."""

import re

from shopstock.calc.quantity import UnitError, read_quantity
from shopstock.calc.stretches import Stretch
from shopstock.calc.units import parse_length_mm

HALF_SPOT_MM = 50

_BETWEEN_POSITIONS = re.compile(r"[;\n]|,(?=\s|$)")
_FROM_TO = re.compile(r"\s*(?:[–—−]|\bto\b|\.\.|(?<=[\w\s'\"])-)\s*")
_TWO_WAYS = re.compile(r"(\d+),(\d+)")


class PositionError(UnitError):
    """A position from which no stretch of the roll can be told."""


def read_positions(text: str, default_unit: str) -> list[Stretch]:
    """Stretches in mm from the free end, from positions as typed, in the order typed.

    text: positions or from–to pairs, between them ";", a new line, or a comma and a space. default_unit: the unit of a
    number without one, such as "m". Where a ";" stands, a comma inside a number is a decimal comma. A single position
    becomes 50 mm to each side of it, the start not below 0.
    Raises UnitError, of which PositionError for a comma that can be read in two ways and for an end before its start.
    Source: own rule. Worked: "12.5, 3.2–3.6" in m → [(12450, 12550), (3200, 3600)].
    """
    if ";" not in text:
        _refuse_two_ways(text)
    parts = [part.strip() for part in _BETWEEN_POSITIONS.split(text)]
    return [_stretch(part, default_unit) for part in parts if part]


def _refuse_two_ways(text: str) -> None:
    comma = _TWO_WAYS.search(text)
    if comma:
        whole, rest = comma.groups()
        raise PositionError(
            f"“{comma[0]}” can be read in two ways. Write {whole}.{rest}, or {whole}; {rest} for two places."
        )


def _stretch(part: str, default_unit: str) -> Stretch:
    ends = _FROM_TO.split(part)
    if len(ends) == 1:
        return _spot(parse_length_mm(part, default_unit))
    if len(ends) > 2 or not all(ends):
        raise PositionError(f"“{part}” is no place on a roll. Write one position, like 12.5, or from–to, like 3.2–3.6.")
    return _from_to(*ends, default_unit=default_unit)


def _spot(position_mm: int) -> Stretch:
    return max(0, position_mm - HALF_SPOT_MM), position_mm + HALF_SPOT_MM


def _from_to(start: str, end: str, *, default_unit: str) -> Stretch:
    last_unit = read_quantity(end).unit
    unit = last_unit.symbol if last_unit else default_unit
    start_mm, end_mm = parse_length_mm(start, unit), parse_length_mm(end, unit)
    if end_mm <= start_mm:
        raise PositionError(f"“{start}–{end}” ends before it starts. Write the nearer end first, from the free end.")
    return start_mm, end_mm
