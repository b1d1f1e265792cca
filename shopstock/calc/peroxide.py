"""Temperatures that an organic peroxide must not pass, from its self-accelerating decomposition temperature."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """Control and emergency temperature, °C."""

    control_c: float
    emergency_c: float


def peroxide_limits(sadt_c: float) -> Limits:
    """Control and emergency temperature (°C) from the SADT (°C).

    Source: makers' storage rule: SADT up to 20 → 20 and 10 below it; 20 to 35 → 15 and 10; above 35 → 10 and 5. The
    rule leaves 35 itself open: the stricter is taken. Worked: 15 → −5 and 5; 30 → 15 and 20; 60 → 50 and 55.
    """
    if sadt_c <= 20:
        return Limits(sadt_c - 20, sadt_c - 10)
    if sadt_c <= 35:
        return Limits(sadt_c - 15, sadt_c - 10)
    return Limits(sadt_c - 10, sadt_c - 5)
