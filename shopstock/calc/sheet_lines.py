"""Lines of a data sheet as people type them: doses of catalyst by temperature, and pot lives."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from shopstock.calc.dose import Band

Line = TypeVar("Line")
_NUMBER = r"(-?\d+(?:[.,]\d+)?)"
_TO = r"\s*(?:to|–|—|-|\.\.)\s*(?:below\s*)?"
_DOSE = re.compile(rf"{_NUMBER}{_TO}{_NUMBER}\s*(°?\s*[CF])\s*[:,;]?\s*{_NUMBER}(?:{_TO}{_NUMBER})?\s*%", re.IGNORECASE)
_POT = re.compile(
    rf"{_NUMBER}\s*min\w*\s*(?:at|@)\s*{_NUMBER}\s*(°?\s*[CF])(?:\s*(?:with|,)\s*{_NUMBER}\s*%)?", re.IGNORECASE
)
MOST_PERCENT = 10


class SheetLineError(ValueError):
    """A line that cannot be read, or lines that contradict each other; the message says how to write it."""


@dataclass(frozen=True)
class PotLifeLine:
    """Minutes at a temperature (°C) with a dose in per cent, or None where the sheet names none."""

    minutes: Decimal
    temperature_c: Decimal
    percent: Decimal | None


def read_doses(text: str) -> list[Band]:
    """Lines such as "15 to 20 °C: 1.5 to 2.5 %" as bands in °C and per cent, coldest first.

    Raises SheetLineError for a line that cannot be read, and for bands that overlap. Worked: "59 to 68 °F: 2 %" → 15 to
    below 20 °C, 2 to 2 %.
    """
    bands = sorted(_each(text, _DOSE, _dose, "15 to 20 °C: 1.5 to 2.5 %"), key=lambda band: band.from_c)
    for colder, warmer in zip(bands, bands[1:], strict=False):
        if warmer.from_c < colder.below_c:
            raise SheetLineError(f"Two lines overlap at {warmer.from_c:g} °C. Let one end where the next begins.")
    return bands


def _dose(match: re.Match) -> Band:
    start, end, unit, least, most = match.groups()
    band = Band(_celsius(start, unit), _celsius(end, unit), _number(least), _number(most or least))
    if band.from_c >= band.below_c:
        raise SheetLineError(f"“{match[0]}”: write the lower temperature first.")
    if not 0 < band.least_percent <= band.most_percent <= MOST_PERCENT:
        raise SheetLineError(f"“{match[0]}”: a dose goes from less to more, above 0 and up to {MOST_PERCENT} %.")
    return band


def read_pot_lives(text: str) -> list[PotLifeLine]:
    """Lines such as "18 min at 20 °C with 2 %" or "30 min at 25 °C". Raises SheetLineError.

    Either every line names its dose or none does.
    """
    lines = _each(text, _POT, _pot_life, "18 min at 20 °C with 2 %")
    if len({line.percent is None for line in lines}) > 1:
        raise SheetLineError("Some lines name the dose of catalyst, some do not. Write it in all or in none.")
    if len({(line.temperature_c, line.percent) for line in lines}) < len(lines):
        raise SheetLineError("Two lines give the same temperature and dose.")
    return lines


def _pot_life(match: re.Match) -> PotLifeLine:
    minutes, temperature, unit, percent = match.groups()
    line = PotLifeLine(_number(minutes), _celsius(temperature, unit), _number(percent) if percent else None)
    if line.minutes <= 0 or (line.percent is not None and not 0 < line.percent <= MOST_PERCENT):
        raise SheetLineError(f"“{match[0]}”: minutes above 0, and a dose above 0 and up to {MOST_PERCENT} %.")
    return line


def _each(text: str, pattern: re.Pattern, read: Callable[[re.Match], Line], example: str) -> list[Line]:
    found = []
    for words in (line.strip() for line in text.splitlines()):
        if not words:
            continue
        match = pattern.fullmatch(words)
        if match is None:
            raise SheetLineError(f"“{words}” cannot be read. Write one line for each, like {example}.")
        found.append(read(match))
    return found


def write_doses(bands: Sequence[Band]) -> str:
    """The lines that `read_doses` reads."""
    return "\n".join(
        f"{_short(b.from_c)} to {_short(b.below_c)} °C: {_short(b.least_percent)} to {_short(b.most_percent)} %"
        for b in bands
    )


def write_pot_lives(lines: Sequence[PotLifeLine]) -> str:
    """The lines that `read_pot_lives` reads."""
    return "\n".join(
        f"{_short(line.minutes)} min at {_short(line.temperature_c)} °C"
        + (f" with {_short(line.percent)} %" if line.percent is not None else "")
        for line in lines
    )


def _number(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))


def _celsius(text: str, unit: str) -> Decimal:
    value = _number(text)
    return value if unit.strip("° ").upper() == "C" else ((value - 32) / Decimal("1.8")).quantize(Decimal("0.1"))


def _short(number: Decimal | float) -> str:
    return f"{Decimal(str(number)).normalize():f}"
