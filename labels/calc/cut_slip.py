"""Whether a length typed for a planned cut can be what a hand cut, or is a slip of the fingers."""

FAR_TIMES, FAR_MM = 2, 500


def is_far_from_plan(length_mm: int, planned_mm: int) -> bool:
    """Whether a typed cut (mm) is more than twice or less than half of the planned one (mm), and over half a metre off.

    Raises nothing. Source: own rule; a hand cuts centimetres amiss, a wrong unit or decimal point is ten times off.
    Worked: 8300 against 4200 → False; 9000 or 420 against 4200 → True.
    """
    larger, smaller = max(length_mm, planned_mm), min(length_mm, planned_mm)
    return larger > FAR_TIMES * smaller and larger - smaller > FAR_MM
