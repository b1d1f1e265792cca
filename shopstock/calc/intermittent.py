"""Forecast of what is used now and then: repairs, patches, trials. Many periods hold nothing, so no average of all.

Start-up as stated in each function; libraries differ in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import mean, variance

USUAL_SMOOTHING = 0.1
LEAST_USES = 3  # fewer say nothing about how often
OFTEN, UNEVEN = 1.32, 0.49  # Syntetos and Boylan's cuts between steady, intermittent, erratic and lumpy


class ForecastError(ValueError):
    """A history that allows no forecast."""


@dataclass(frozen=True)
class Forecast:
    """Mean use a period; ``size`` of a use and ``gap`` between two in periods stand behind it."""

    per_period: float
    size: float
    gap: float
    method: str


@dataclass(frozen=True)
class Pattern:
    """Mean gap between uses in periods, squared variation of their sizes, and the word for it."""

    gap: float
    variation: float
    word: str


def croston(history: Sequence[float], smoothing: float = USUAL_SMOOTHING) -> Forecast:
    """Smoothed size of a use over the smoothed gap between uses, both smoothed only when there is a use.

    ``history`` in any unit a period, ``smoothing`` from 0 to 1. Starts with the first use and its distance from the
    start. Raises ForecastError. Source: Croston, Operational Research Quarterly 23 (1972). Worked: 0 0 5 0 0 0 3 0 4 0
    0 6 0 0 0 0 2 0 at 0.1 → 1.429619.
    """
    _check(history, smoothing)
    size = gap = None
    since = 0
    for use in history:
        since += 1
        if use:
            size = use if size is None else size + smoothing * (use - size)
            gap = since if gap is None else gap + smoothing * (since - gap)
            since = 0
    return Forecast(size / gap, size, gap, "Croston")


def syntetos_boylan(history: Sequence[float], smoothing: float = USUAL_SMOOTHING) -> Forecast:
    """Croston's forecast less its known excess.

    Units as in ``croston``. Raises ForecastError. Source: Syntetos and Boylan (2005): f·(1 − α/2). Worked: the same
    series → 1.358138.
    """
    found = croston(history, smoothing)
    return Forecast(found.per_period * (1 - smoothing / 2), found.size, found.gap, "Syntetos–Boylan")


def shale_boylan_johnston(history: Sequence[float], smoothing: float = USUAL_SMOOTHING) -> Forecast:
    """The same with another correction, for uses that come at random.

    Units as in ``croston``. Raises ForecastError. Source: f·(1 − α/(2 − α)). Worked: the same series → 1.354376.
    """
    found = croston(history, smoothing)
    share = 1 - smoothing / (2 - smoothing)
    return Forecast(found.per_period * share, found.size, found.gap, "Shale–Boylan–Johnston")


def teunter_syntetos_babai(
    history: Sequence[float], smoothing: float = USUAL_SMOOTHING, chance_smoothing: float = USUAL_SMOOTHING
) -> Forecast:
    """Smoothed chance of a use in a period times its smoothed size; falls when nothing is used any more.

    Units as in ``croston``. Starts with the first use and with 1 or 0 for the first period. Raises ForecastError.
    Source: Teunter, Syntetos and Babai (2011). Worked: the same series at 0.1 and 0.1 → 1.067133.
    """
    _check(history, smoothing)
    _check(history, chance_smoothing)
    size, chance = None, None
    for use in history:
        happened = 1.0 if use else 0.0
        chance = happened if chance is None else chance + chance_smoothing * (happened - chance)
        if use:
            size = use if size is None else size + smoothing * (use - size)
    return Forecast(chance * size, size, 1 / chance, "Teunter–Syntetos–Babai")


def pattern_of(history: Sequence[float]) -> Pattern:
    """How a use comes: steady, intermittent (seldom), erratic (uneven) or lumpy (both).

    ``history`` in any unit a period. Raises ForecastError for fewer than two uses. Source: cuts of Syntetos and Boylan,
    1.32 periods and 0.49, from memory. Worked: the series above → gap 3.6, variation 0.156, intermittent.
    """
    uses = [use for use in history if use]
    if len(uses) < 2:
        raise ForecastError("Two uses at least are needed to tell how they vary.")
    gap, variation = len(history) / len(uses), variance(uses) / mean(uses) ** 2
    words = {(False, False): "steady", (True, False): "intermittent", (False, True): "erratic", (True, True): "lumpy"}
    return Pattern(gap, variation, words[gap >= OFTEN, variation >= UNEVEN])


def _check(history: Sequence[float], smoothing: float) -> None:
    if not 0 < smoothing <= 1:
        raise ForecastError("Smoothing lies above 0 and up to 1.")
    if any(use < 0 for use in history):
        raise ForecastError("A use cannot be less than nothing.")
    if not any(history):
        raise ForecastError("Nothing was ever used: there is no history to forecast from.")
