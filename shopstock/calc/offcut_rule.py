"""Which pieces left over are worth keeping, and for how long."""

import datetime
from dataclasses import dataclass


@dataclass(frozen=True)
class KeepingRule:
    """Keep a piece of full width from ``full_width_length_mm``, any other from ``area_cm2`` with no side below
    ``side_mm``; look again after ``days``.
    """

    full_width_length_mm: int = 500
    side_mm: int = 300
    area_cm2: int = 2500
    days: int = 270

    def keeps(self, width_mm: int, length_mm: int, roll_width_mm: int) -> bool:
        """Whether a piece (mm across, mm along the warp) of a roll ``roll_width_mm`` wide is worth keeping.

        Raises nothing. Source: common practice. Worked: 1250 × 500 of 1250 → True; 800 × 320 → True; 900 × 290 → False.
        """
        if width_mm >= roll_width_mm and length_mm >= self.full_width_length_mm:
            return True
        return min(width_mm, length_mm) >= self.side_mm and width_mm * length_mm >= 100 * self.area_cm2

    def least_width_mm(self, narrowest_roll_mm: int) -> int:
        """No piece narrower than this (mm) is ever kept of rolls that are ``narrowest_roll_mm`` wide or wider."""
        return min(self.side_mm, narrowest_roll_mm)

    @property
    def least_length_mm(self) -> int:
        """No piece shorter than this (mm) is ever kept."""
        return min(self.side_mm, self.full_width_length_mm)

    def look_again_on(self, kept_on: datetime.date) -> datetime.date:
        """The day from which a piece kept on a day comes up for binning. Worked: 2026-03-02, 270 days → 2026-11-27."""
        return kept_on + datetime.timedelta(days=self.days)
