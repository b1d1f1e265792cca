"""Why blanks found no place: the plainest reason that holds, with what is needed and what is on the racks."""

from collections.abc import Iterator

from jobs.calc.cutting.levels import Task
from jobs.calc.cutting.plan import Unplaced


def unplaced_blanks(task: Task, missing: dict[int, int]) -> tuple[Unplaced, ...]:
    """One line a blank id that found no place, in the order of the problem."""
    lines = []
    for type_, count in missing.items():
        ids = task.blank_ids[type_][len(task.blank_ids[type_]) - count :]
        for blank_id in dict.fromkeys(ids):
            lines.append(Unplaced(blank_id, ids.count(blank_id), reason(task, type_)))
    order = {blank.id: number for number, blank in enumerate(task.problem.blanks)}
    return tuple(sorted(lines, key=lambda line: order[line.id]))


def reason(task: Task, type_: int) -> str:
    """Why this type of blank has no place."""
    return _no_home(task, type_) or _narrow_shortage(task, type_) or _area_shortage(task) or _NO_PLAN


_NO_PLAN = "no place was found beside the other blanks; give the search more time, or offer more cloth"


def _no_home(task: Task, type_: int) -> str:
    if any(task.allowed[type_]):
        return ""
    shapes = [task.shapes[index] for index in task.shapes_of[type_]]
    needed_mm = min(shape.across_mm for shape in shapes)
    wide = [s for s in task.stretches if s.width_mm >= needed_mm]
    if not wide:
        widest_mm = max((stretch.width_mm for stretch in task.stretches), default=0)
        return f"{_m(needed_mm)} wide, and the widest usable cloth on the racks is {_m(widest_mm)}"
    longest_mm = max(stretch.length_mm for stretch in wide)
    along_mm = min(shape.along_mm for shape in shapes)
    if longest_mm < along_mm:
        return f"{_m(along_mm)} long without a fault, and the longest stretch wide enough is {_m(longest_mm)}"
    return "the roll or lot that it is tied to has no stretch that takes it; lift the tie or offer another roll"


def _narrow_shortage(task: Task, type_: int) -> str:
    widths = [least_across_mm(task, t) for t in task.types]
    found = []
    for width_mm in sorted({width for width in widths if width <= widths[type_]}):
        needed_mm, there_mm = needed_and_there_mm(task, width_mm)
        if needed_mm > there_mm:
            found.append((needed_mm / max(1, there_mm), width_mm, needed_mm, there_mm))
    if not found:
        return ""
    _, width_mm, needed_mm, there_mm = max(found)
    return (
        f"{_m(needed_mm, 1)} needed at least {_m(width_mm)} wide, {_m(there_mm, 2)} on the racks"
        if width_mm
        else _NO_PLAN
    )


def least_across_mm(task: Task, type_: int) -> int:
    return min(task.shapes[index].across_mm for index in task.shapes_of[type_])


def needed_and_there_mm(task: Task, width_mm: int) -> tuple[float, int]:
    """Length that blanks at least width_mm across must take, however laid, and how much that wide there is."""
    lengths = list(_wide_lengths(task, width_mm))
    places = [stretch for stretch in task.stretches if stretch.width_mm >= width_mm]
    abreast = max((stretch.width_mm // width_mm for stretch in places), default=1)
    return sum(lengths) / max(1, abreast), sum(stretch.length_mm for stretch in places)


def _wide_lengths(task: Task, width_mm: int) -> Iterator[int]:
    for type_ in task.types:
        if least_across_mm(task, type_) >= width_mm:
            along_mm = min(task.shapes[index].along_mm for index in task.shapes_of[type_])
            yield along_mm * task.demand[type_]


def _area_shortage(task: Task) -> str:
    needed_mm2 = sum(task.area_mm2(type_) * task.demand[type_] for type_ in task.types)
    there_mm2 = sum(stretch.length_mm * stretch.width_mm for stretch in task.stretches)
    if needed_mm2 <= there_mm2:
        return ""
    return f"{needed_mm2 / 1e6:.2f} m² needed in all, {there_mm2 / 1e6:.2f} m² on the racks"


def _m(length_mm: float, digits: int = 2) -> str:
    return f"{length_mm / 1000:.{digits}f} m"
