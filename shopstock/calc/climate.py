"""Temperature and humidity: what a material may lie in, whether glass has rested, and readings that look wrong."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import fmean, median

LOWEST_C, HIGHEST_C = -90.0, 90.0
LARGEST_STEP_C = 15.0  # between two readings hours apart; more is asked about
NEAR_C = 6.0
HOTTEST_STORE_C = 45.0  # common practice, no source
REST_HOURS = 48
WARMER_C = 2.0
LONGEST_GAP = timedelta(hours=6)


class ReadingError(ValueError):
    """A reading that cannot be; the message says what to check."""


class UnlikelyReading(ReadingError):
    """A reading that may be right but looks like a slip: it is asked about."""


@dataclass(frozen=True)
class Reading:
    """Temperature in °C and relative humidity in per cent (None when not measured) at a moment."""

    at: datetime
    temperature_c: float
    humidity: float | None = None


@dataclass(frozen=True)
class Band:
    """What a material may lie in: °C and per cent humidity; None is no limit. `source` says where it stands."""

    min_c: float | None = None
    max_c: float | None = None
    max_humidity: float | None = None
    source: str = ""

    def narrowed_by(self, other: "Band") -> "Band":
        """The band in which both may lie."""
        return Band(
            _strictest(max, self.min_c, other.min_c),
            _strictest(min, self.max_c, other.max_c),
            _strictest(min, self.max_humidity, other.max_humidity),
            self.source or other.source,
        )


USUAL = "usual on makers’ sheets; the product’s own sheet goes first"
USUAL_BANDS = {
    "fabric": Band(10, 35, 75, USUAL),
    "core": Band(10, 35, 65, USUAL),
    "prepreg": Band(None, -18, None, USUAL),
    "polyester": Band(None, 25, None, USUAL),
    "vinylester": Band(None, 25, None, USUAL),
    "gelcoat": Band(None, 25, None, USUAL),
    "peroxide": Band(None, 25, None, USUAL),
}


def _strictest(pick, one: float | None, other: float | None) -> float | None:
    known = [value for value in (one, other) if value is not None]
    return pick(known) if known else None


def outside(reading: Reading, band: Band) -> list[str]:
    """How a reading leaves a band, in words with figures; empty when it does not.

    Worked: 38 °C and 80 % in 10 to 35 °C, at most 75 % → "38 °C is above 35 °C", "80 % is above 75 % humidity".
    """
    found = []
    if band.min_c is not None and reading.temperature_c < band.min_c:
        found.append(f"{reading.temperature_c:g} °C is below {band.min_c:g} °C")
    if band.max_c is not None and reading.temperature_c > band.max_c:
        found.append(f"{reading.temperature_c:g} °C is above {band.max_c:g} °C")
    if band.max_humidity is not None and reading.humidity is not None and reading.humidity > band.max_humidity:
        found.append(f"{reading.humidity:g} % is above {band.max_humidity:g} % humidity")
    return found


def check_reading(reading: Reading, before: Reading | None = None) -> None:
    """Refuse a reading that cannot be, and ask about one that looks like °F in a °C field or another slip.

    ``before`` is the reading of the same place before it, counted when it is at most a day older. Raises ReadingError,
    or UnlikelyReading with what was probably meant. Worked: 70 where 20 °C stood an hour ago: 70 °F is 21.1 °C.
    """
    if not LOWEST_C <= reading.temperature_c <= HIGHEST_C:
        raise ReadingError(f"{reading.temperature_c:g} °C is no temperature of a store. Check the figure and its unit.")
    if reading.humidity is not None and not 0 <= reading.humidity <= 100:
        raise ReadingError(f"Humidity goes from 0 to 100 %, not {reading.humidity:g} %.")
    if before is None or abs(reading.at - before.at) > timedelta(days=1):
        return
    step_c = abs(reading.temperature_c - before.temperature_c)
    if step_c <= LARGEST_STEP_C:
        return
    in_c = (reading.temperature_c - 32) / 1.8
    was = f"{before.temperature_c:g} °C at {before.at:%Y-%m-%d %H:%M}"
    if abs(in_c - before.temperature_c) <= NEAR_C:
        raise UnlikelyReading(f"It was {was}. {reading.temperature_c:g} °F is {in_c:.1f} °C: is it °F?")
    raise UnlikelyReading(f"It was {was}. Is {reading.temperature_c:g} °C right?")


def check_log(readings: Sequence[Reading], before: Reading | None = None) -> None:
    """Ask about a log of a sensor that looks as if its °C were °F; single jumps in it are taken for what was.

    ``before`` is the place's reading before the first of them. Raises UnlikelyReading. Worked: 68, 70 and 71 °C, where
    no store is at 45 °C half of the time.
    """
    if not readings:
        return
    middle_c = median(reading.temperature_c for reading in readings)
    if middle_c > HOTTEST_STORE_C:
        in_c = (middle_c - 32) / 1.8
        raise UnlikelyReading(f"Half of its readings are above {middle_c:g} °C, which in °F would be {in_c:.1f} °C.")
    check_reading(readings[0], before)


@dataclass(frozen=True)
class Rest:
    """Whether glass has rested before use: True, False, or None when the readings do not tell; and why."""

    rested: bool | None
    why: str


def rested(hours_there: float, there: Reading | None, shop: Reading | None, *, in_shop: bool = False) -> Rest:
    """Whether glass has rested as a class rule asks: two days in air drier than the shop and at least 2 °C warmer, or
    two days in shop air.

    ``hours_there`` h in its present place; ``there`` and ``shop`` are readings (°C, %) of store and shop, None when
    not known. Source: class rules for light craft, 3.05, its degree signs taken as °C. Worked: 48 h at 20 °C and 55 %,
    shop 18 °C and 65 % → rested; 19 °C → not.
    """
    if hours_there < REST_HOURS:
        return Rest(False, f"it came here {hours_there:.0f} h ago; glass rests {REST_HOURS} h before use")
    if in_shop:
        return Rest(True, f"{REST_HOURS} h and more in shop air")
    if there is None or shop is None or there.humidity is None or shop.humidity is None:
        return Rest(None, "there is no reading of both the store and the shop to judge its rest by")
    if there.humidity >= shop.humidity:
        return Rest(False, f"its place is not drier than the shop ({there.humidity:g} % to {shop.humidity:g} %)")
    if there.temperature_c - shop.temperature_c < WARMER_C:
        warmer = there.temperature_c - shop.temperature_c
        return Rest(False, f"its place is {warmer:+.1f} °C to the shop; it should be at least {WARMER_C:g} °C warmer")
    return Rest(True, f"{REST_HOURS} h and more in drier and warmer air than the shop")


def mean_reading(readings: Sequence[Reading]) -> Reading | None:
    """The mean of readings, at the moment of the last; None without any."""
    if not readings:
        return None
    wet = [reading.humidity for reading in readings if reading.humidity is not None]
    last = max(reading.at for reading in readings)
    return Reading(last, fmean(r.temperature_c for r in readings), fmean(wet) if wet else None)


def stretches_of(readings: Iterable[Reading], longest_gap: timedelta = LONGEST_GAP) -> list[list[Reading]]:
    """Readings in order of time, parted wherever none came for longer than the gap: a gap is shown as a gap.

    Worked: readings at 0, 1, 2, 9 and 10 h with a longest gap of 6 h → two stretches, of three and of two.
    """
    found: list[list[Reading]] = []
    for reading in sorted(readings, key=lambda reading: reading.at):
        if found and reading.at - found[-1][-1].at <= longest_gap:
            found[-1].append(reading)
        else:
            found.append([reading])
    return found
