"""What heat has done to a container by the readings of its place: advice beside its date, never a date of its own."""

import datetime
from dataclasses import dataclass

from .calc.ageing import AgeingError, share_used
from .models import ClimateReading, Container


@dataclass(frozen=True)
class AgedLife:
    """The share of its shelf life (0–1 and above) used up, the days left at the stated temperature, and from what."""

    share: float
    days_left: float
    readings: int
    stated_at_c: float

    @property
    def percent(self) -> int:
        return round(100 * self.share)


def aged_life(container: Container, on: datetime.date) -> AgedLife | None:
    """None where the product's shelf life, or any reading of the place since the container came, is not known.

    A reading counts for the time until the next; days without one count as spent at the temperature of the data sheet.
    """
    chemical = container.chemical
    if not chemical.shelf_life_days or container.place_id is None:
        return None
    start = container.made_on or container.received_on
    days = daily_means(container.place_id, start, on)
    if not days:
        return None
    stated = float(chemical.life_at_c)
    spells = [(1.0, days.get(start + datetime.timedelta(days=number), stated)) for number in range((on - start).days)]
    try:
        share = share_used(spells, chemical.shelf_life_days, stated)
    except AgeingError:
        return None
    return AgedLife(share, max(0.0, (1 - share) * chemical.shelf_life_days), len(days), stated)


def daily_means(place_id: int, start: datetime.date, until: datetime.date) -> dict[datetime.date, float]:
    """The mean temperature (°C) of each day on which the place was read."""
    by_day: dict[datetime.date, list[float]] = {}
    rows = ClimateReading.objects.filter(place_id=place_id, at__date__gte=start, at__date__lte=until)
    for at, temperature_c in rows.values_list("at", "temperature_c"):
        by_day.setdefault(at.date(), []).append(float(temperature_c))
    return {day: sum(found) / len(found) for day, found in by_day.items()}
