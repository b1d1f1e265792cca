"""Reads a problem from JSON and refuses what cannot be planned, naming the place in the file."""

from collections import Counter
from itertools import combinations

from jobs.calc.cutting.plan import PlacedBlank, Strip
from jobs.calc.cutting.problem import (
    KINDS,
    LONGEST_MM,
    MOST_BLANKS,
    MOST_STOCK,
    WIDEST_MM,
    Blank,
    Fault,
    Problem,
    ProblemError,
    Stock,
)

# Faults are noted with a margin each, so the ends of two neighbours may reach into one another: one long fault. From a
# third of the shorter one on, the same damage was entered twice or a number is wrong.
SMALLEST_SHARE = 3

_MISSING = object()


def read_problem(data: object) -> Problem:
    """The problem held by decoded JSON; raises ProblemError with the path of the first thing that is wrong."""
    data = _object(data, "$")
    problem = Problem(
        name=_text(data, "name", "$", default="plan"),
        stock=_stock_list(data),
        blanks=_blank_list(data),
        stages=_whole(data, "stages", "$", 2, 4, default=3),
        allowance_mm=_whole(data, "allowance_mm", "$", 0, 1_000, default=0),
        smallest_offcut_length_mm=_whole(data, "smallest_offcut_length_mm", "$", 0, LONGEST_MM, default=500),
        smallest_offcut_width_mm=_whole(data, "smallest_offcut_width_mm", "$", 0, WIDEST_MM, default=300),
        opening_charge_mm2=_whole(data, "opening_charge_mm2", "$", 0, 10**12, default=0),
        pins=tuple(_pins(data)),
        forbidden=tuple(_forbidden(data)),
        locked_strips=tuple(_locked(item, f"$.locked_strips[{n}]") for n, item in _items(data, "locked_strips")),
    )
    check_problem(problem)
    return problem


def check_problem(problem: Problem) -> None:
    """Refuses what no single field shows: repeated ids, names that stand for nothing, blanks wider than every roll."""
    _check_unique(problem.stock, "$.stock")
    _check_unique(problem.blanks, "$.blanks")
    _check_total(problem)
    for number, stock in enumerate(problem.stock):
        _check_faults(stock, f"$.stock[{number}]")
    _check_names(problem)
    _check_locked(problem)
    _check_widths(problem)


def _check_unique(things: tuple, path: str) -> None:
    for thing_id, times in Counter(thing.id for thing in things).items():
        if times > 1:
            number = [n for n, thing in enumerate(things) if thing.id == thing_id][1]
            raise ProblemError(f"{path}[{number}].id", f"{thing_id!r} is used {times} times; give each its own id")


def _check_total(problem: Problem) -> None:
    total = sum(blank.count for blank in problem.blanks)
    if total > MOST_BLANKS:
        raise ProblemError("$.blanks", f"{total} blanks are asked for; the limit of one plan is {MOST_BLANKS}")
    if len(problem.stock) > MOST_STOCK:
        raise ProblemError("$.stock", f"{len(problem.stock)} rolls are offered; the limit of one plan is {MOST_STOCK}")


def _check_faults(stock: Stock, path: str) -> None:
    for number, fault in enumerate(stock.faults):
        if stock.length_mm is not None and fault.to_mm > stock.length_mm:
            raise ProblemError(
                f"{path}.faults[{number}].to_mm", f"{fault.to_mm} mm lies beyond the end at {stock.length_mm} mm"
            )
        if fault.across_to_mm is not None and fault.across_to_mm > stock.width_mm:
            raise ProblemError(f"{path}.faults[{number}].across_to_mm", f"lies beyond the width of {stock.width_mm} mm")
    for (first, one), (number, other) in combinations(enumerate(stock.faults), 2):
        shared_mm = _shared_mm(one, other)
        if shared_mm * SMALLEST_SHARE >= min(one.to_mm - one.from_mm, other.to_mm - other.from_mm):
            words = f"overlaps faults[{first}] by {shared_mm} mm; name the damage once, from its start to its end"
            raise ProblemError(f"{path}.faults[{number}]", words)


def joined_faults(problem: Problem) -> list[str]:
    """Says of each two faults whose ends reach into one another where they are and that they count as one."""
    return [
        f"$.stock[{at}].faults[{number}]: overlaps faults[{first}] by {_shared_mm(one, other)} mm; "
        f"planned as one fault from {min(one.from_mm, other.from_mm)} to {max(one.to_mm, other.to_mm)} mm"
        for at, stock in enumerate(problem.stock)
        for (first, one), (number, other) in combinations(enumerate(stock.faults), 2)
        if _shared_mm(one, other) > 0
    ]


def _shared_mm(one: Fault, other: Fault) -> int:
    """Length that lies under both faults; 0 for two of part of the width that lie side by side."""
    part_width = one.across_from_mm is not None and other.across_from_mm is not None
    if part_width and (one.across_to_mm <= other.across_from_mm or other.across_to_mm <= one.across_from_mm):
        return 0
    return max(0, min(one.to_mm, other.to_mm) - max(one.from_mm, other.from_mm))


def _check_names(problem: Problem) -> None:
    for number, (blank_id, stock_id) in enumerate(problem.pins):
        if blank_id not in problem.blank_by_id:
            raise ProblemError(f"$.pins[{number}].blank", f"there is no blank {blank_id!r}")
        if stock_id not in problem.stock_by_id:
            raise ProblemError(f"$.pins[{number}].stock", f"there is no stock {stock_id!r}")
    for number, stock_id in enumerate(problem.forbidden):
        if stock_id not in problem.stock_by_id:
            raise ProblemError(f"$.forbidden[{number}]", f"there is no stock {stock_id!r}")


def _check_locked(problem: Problem) -> None:
    left = {blank.id: blank.count for blank in problem.blanks}
    taken: list[Strip] = []
    for number, strip in enumerate(problem.locked_strips):
        path = f"$.locked_strips[{number}]"
        if strip.stock not in problem.stock_by_id:
            raise ProblemError(f"{path}.stock", f"there is no stock {strip.stock!r}")
        _check_locked_place(problem, strip, taken, path)
        taken.append(strip)
        for place, placed in enumerate(strip.blanks):
            _check_locked_blank(problem, strip, placed, left, f"{path}.blanks[{place}]")


def _check_locked_place(problem: Problem, strip: Strip, taken: list[Strip], path: str) -> None:
    stock = problem.stock_by_id[strip.stock]
    if stock.length_mm is not None and strip.to_mm > stock.length_mm:
        raise ProblemError(path, f"ends at {strip.to_mm} mm, beyond the end of {stock.id!r} at {stock.length_mm} mm")
    for other in taken:
        if other.stock == strip.stock and other.from_mm < strip.to_mm and strip.from_mm < other.to_mm:
            raise ProblemError(path, "overlaps another locked strip; unlock one of them")
    for fault in stock.faults:
        if fault.from_mm < strip.to_mm and strip.from_mm < fault.to_mm and _reaches_into(strip, fault, stock):
            raise ProblemError(path, "lies over a fault; unlock it and plan again")


def _reaches_into(strip: Strip, fault: Fault, stock: Stock) -> bool:
    """A fault of part of the width may lie beside the blanks of a strip."""
    if fault.across_from_mm is None:
        return True
    low_mm, high_mm = fault.across_from_mm - stock.trim_mm, fault.across_to_mm - stock.trim_mm
    return any(blank.x_mm < high_mm and low_mm < blank.x_mm + blank.across_mm for blank in strip.blanks)


def _check_locked_blank(problem: Problem, strip: Strip, placed: PlacedBlank, left: dict[str, int], path: str) -> None:
    blank = problem.blank_by_id.get(placed.id)
    if blank is None:
        raise ProblemError(f"{path}.id", f"there is no blank {placed.id!r}")
    left[placed.id] -= 1
    if left[placed.id] < 0:
        raise ProblemError(f"{path}.id", f"more of {placed.id!r} are locked than the {blank.count} asked for")
    if (placed.across_mm, placed.along_mm) not in {(across, along) for across, along, _ in blank.sizes}:
        raise ProblemError(path, f"is not the size of {placed.id!r} in a turn it allows")
    width_mm = problem.stock_by_id[strip.stock].usable_width_mm
    if placed.x_mm + placed.across_mm > width_mm or placed.y_mm + placed.along_mm > strip.length_mm:
        raise ProblemError(path, "does not lie inside its strip")


def _check_widths(problem: Problem) -> None:
    widest_mm = max((stock.usable_width_mm for stock in problem.stock), default=None)
    if widest_mm is None:
        return
    for number, blank in enumerate(problem.blanks):
        least_mm = min(across for across, _, _ in blank.sizes) + problem.allowance_mm
        if least_mm > widest_mm:
            raise ProblemError(
                f"$.blanks[{number}].across_mm",
                f"{blank.id!r} needs {least_mm} mm across and the widest cloth has {widest_mm} mm; "
                "split it with a seam or offer a wider roll",
            )


def _stock_list(data: dict) -> tuple[Stock, ...]:
    return tuple(_stock(item, f"$.stock[{n}]") for n, item in _items(data, "stock", required=True))


def _stock(data: object, path: str) -> Stock:
    data = _object(data, path)
    width_mm = _whole(data, "width_mm", path, 1, WIDEST_MM)
    trim_mm = _whole(data, "trim_mm", path, 0, WIDEST_MM, default=0)
    if 2 * trim_mm >= width_mm:
        raise ProblemError(f"{path}.trim_mm", f"trimming {trim_mm} mm off each side leaves nothing of {width_mm} mm")
    kind = _text(data, "kind", path, default="roll")
    if kind not in KINDS:
        raise ProblemError(f"{path}.kind", f"{kind!r} is not one of {', '.join(KINDS)}")
    length_mm = None if data.get("length_mm") is None else _whole(data, "length_mm", path, 1, LONGEST_MM)
    faults = tuple(_fault(item, f"{path}.faults[{n}]") for n, item in _items(data, "faults", path))
    return Stock(
        id=_text(data, "id", path),
        kind=kind,
        width_mm=width_mm,
        trim_mm=trim_mm,
        length_mm=length_mm,
        faults=faults,
        lot=_text(data, "lot", path, default=""),
        cost_per_m2=_cost(data, path),
        preference=_whole(data, "preference", path, -1_000, 1_000, default=0),
    )


def _fault(data: object, path: str) -> Fault:
    data = _object(data, path)
    from_mm = _whole(data, "from_mm", path, 0, LONGEST_MM)
    to_mm = _whole(data, "to_mm", path, 0, LONGEST_MM)
    if to_mm <= from_mm:
        raise ProblemError(f"{path}.to_mm", f"must be more than from_mm, {from_mm}")
    if data.get("across_from_mm") is None and data.get("across_to_mm") is None:
        return Fault(from_mm, to_mm)
    across_from_mm = _whole(data, "across_from_mm", path, 0, WIDEST_MM)
    across_to_mm = _whole(data, "across_to_mm", path, 0, WIDEST_MM)
    if across_to_mm <= across_from_mm:
        raise ProblemError(f"{path}.across_to_mm", f"must be more than across_from_mm, {across_from_mm}")
    return Fault(from_mm, to_mm, across_from_mm, across_to_mm)


def _blank_list(data: dict) -> tuple[Blank, ...]:
    return tuple(_blank(item, f"$.blanks[{n}]") for n, item in _items(data, "blanks", required=True))


def _blank(data: object, path: str) -> Blank:
    data = _object(data, path)
    return Blank(
        id=_text(data, "id", path),
        across_mm=_whole(data, "across_mm", path, 1, LONGEST_MM),
        along_mm=_whole(data, "along_mm", path, 1, LONGEST_MM),
        count=_whole(data, "count", path, 1, MOST_BLANKS, default=1),
        turns=_turns(data, path),
        same_lot=_text(data, "same_lot", path, default=""),
    )


def _turns(data: dict, path: str) -> tuple[int, ...]:
    turns = data.get("turns", [0])
    if turns == "any" or turns == ["any"]:
        return (0, 90)
    if not isinstance(turns, list) or not turns:
        raise ProblemError(f"{path}.turns", 'must be a list such as [0] or [0, 90], or "any"')
    for number, turn in enumerate(turns):
        if isinstance(turn, bool) or turn not in (0, 90, 180, 270):
            raise ProblemError(f"{path}.turns[{number}]", f"{turn!r} is not 0, 90, 180 or 270")
    return tuple(dict.fromkeys(int(turn) for turn in turns))


def _pins(data: dict):
    for number, item in _items(data, "pins"):
        path = f"$.pins[{number}]"
        item = _object(item, path)
        yield _text(item, "blank", path), _text(item, "stock", path)


def _forbidden(data: dict):
    for number, item in _items(data, "forbidden"):
        if not isinstance(item, str):
            raise ProblemError(f"$.forbidden[{number}]", "must be the id of a stock")
        yield item


def _locked(data: object, path: str) -> Strip:
    data = _object(data, path)
    blanks = tuple(_placed(item, f"{path}.blanks[{n}]") for n, item in _items(data, "blanks", path))
    from_mm = _whole(data, "from_mm", path, 0, LONGEST_MM)
    return Strip(_text(data, "stock", path), from_mm, _whole(data, "length_mm", path, 1, LONGEST_MM), blanks)


def _placed(data: object, path: str) -> PlacedBlank:
    data = _object(data, path)
    numbers = {
        key: _whole(data, key, path, least, LONGEST_MM)
        for key, least in (("x_mm", 0), ("y_mm", 0), ("across_mm", 1), ("along_mm", 1))
    }
    return PlacedBlank(id=_text(data, "id", path), turned=bool(data.get("turned", False)), **numbers)


def _object(data: object, path: str) -> dict:
    if not isinstance(data, dict):
        raise ProblemError(path, "must be an object with named fields")
    return data


def _items(data: dict, key: str, path: str = "$", required: bool = False):
    value = data.get(key)
    if value is None and not required:
        return []
    if value is None:
        raise ProblemError(f"{path}.{key}", "is missing")
    if not isinstance(value, list):
        raise ProblemError(f"{path}.{key}", "must be a list")
    if required and not value and key == "blanks":
        raise ProblemError(f"{path}.{key}", "is empty; name at least one blank")
    return list(enumerate(value))


def _text(data: dict, key: str, path: str, default: object = _MISSING) -> str:
    value = data.get(key, default)
    if value is None and default is not _MISSING:
        return str(default)
    if value is _MISSING:
        raise ProblemError(f"{path}.{key}", "is missing")
    if not isinstance(value, str) or (default is _MISSING and not value.strip()):
        raise ProblemError(f"{path}.{key}", "must be a text that is not empty")
    return value


def _whole(data: dict, key: str, path: str, least: int, most: int, default: object = _MISSING) -> int:
    value = data.get(key, default)
    if value is _MISSING:
        raise ProblemError(f"{path}.{key}", "is missing")
    if isinstance(value, bool) or not isinstance(value, int | float) or value != value or value in (1e999, -1e999):
        raise ProblemError(f"{path}.{key}", f"must be a whole number, not {value!r}")
    if value != int(value):
        raise ProblemError(f"{path}.{key}", f"must be a whole number, not {value!r}; round it up")
    if not least <= value <= most:
        raise ProblemError(f"{path}.{key}", f"is {int(value)}; it must be from {least} to {most}")
    return int(value)


def _cost(data: dict, path: str) -> float | None:
    value = data.get("cost_per_m2")
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e9:
        raise ProblemError(f"{path}.cost_per_m2", f"must be a price of 0 or more, not {value!r}")
    return float(value)
