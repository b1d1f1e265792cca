"""How a roll stood when a plan was made, and in which words it differs now."""

from collections.abc import Collection, Mapping

from shopstock.calc.units import format_length
from shopstock.models import Roll, Shop
from shopstock.queries import with_details

from .free_cloth import FreeCloth, standing


def seen(cloth: FreeCloth) -> dict:
    """What decides a plan on this roll, as plain data to keep with the plan."""
    roll = cloth.roll
    return {
        "code": roll.code,
        "width_mm": roll.width_mm,
        "length_mm": roll.length_mm,
        "set_aside_mm": cloth.promised_mm,
        "start_mm": cloth.start_mm,
        "faults": sorted(
            [fault.from_mm, fault.to_mm, fault.get_cause_display(), list(fault.across_mm or ())]
            for fault in roll.open_faults
        ),
        "condition": roll.condition,
        "grade": roll.grade,
        "lying": roll.lying,
    }


def differences(stock_seen: Mapping[str, dict], *, as_if_given_back: Collection[int] = ()) -> list[str]:
    """A sentence for each roll that no longer stands as it was seen; empty when the plan still fits."""
    rolls = with_details(Roll.objects.filter(pk__in=[int(pk) for pk in stock_seen]))
    now = {str(roll.pk): roll for roll in rolls}
    units = Shop.current().units
    changes = (_change(before, now[pk], as_if_given_back, units) for pk, before in stock_seen.items())
    return [change for change in changes if change]


def _change(before: dict, roll: Roll, as_if_given_back: Collection[int], units: str) -> str:
    def metres(length_mm: int) -> str:
        return format_length(length_mm, units)

    promised_mm = sum(promise.length_mm for promise in standing(roll.open_promises, as_if_given_back))
    faults = sorted([fault.from_mm, fault.to_mm] for fault in roll.open_faults)
    words = []
    if roll.length_mm != before["length_mm"]:
        words.append(f"it had {metres(before['length_mm'])} and has {metres(roll.length_mm)} now")
    if promised_mm != before["set_aside_mm"]:
        words.append(f"{metres(before['set_aside_mm'])} of it was set aside, {metres(promised_mm)} is now")
    if faults != [fault[:2] for fault in before["faults"]]:
        words.append("its faults are not the same as before")
    if roll.condition != before["condition"]:
        words.append(f"it is {roll.get_condition_display()} now ({roll.condition_reason})")
    if roll.grade != before.get("grade", Roll.Grade.STRUCTURAL):
        words.append(f"it is {roll.get_grade_display()} now")
    if roll.lying == Roll.Lying.FOLDED and before.get("lying", roll.lying) != Roll.Lying.FOLDED:
        words.append("it lies folded now")
    return f"Roll {roll.code} has changed: {'; '.join(words)}." if words else ""
