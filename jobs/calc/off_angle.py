"""What a ply laid off its direction costs."""

ALLOWED_DEG = 3
# (degrees off, per cent of strength lost): two published points, nothing between them is claimed
POINTS = ((5, 20), (10, 50))


class OffAngleError(ValueError):
    """An angle for which no loss is published."""


def strength_lost_percent(off_deg: int) -> int:
    """Strength lost, per cent, when a ply lies this many degrees off; raises OffAngleError for any other angle.

    Source: US Army TM 1-1500-204-23-11. Worked: 5 → 20; 10 → as much as 50.
    """
    for degrees, lost in POINTS:
        if degrees == off_deg:
            return lost
    raise OffAngleError(f"A loss is published for 5° and 10° only, not for {off_deg}°.")
