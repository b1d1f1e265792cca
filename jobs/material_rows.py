"""What a plan says of one reinforcement, as plain data to keep with the plan."""

from collections import defaultdict
from decimal import Decimal
from math import ceil

from .laying import LeftOver
from .models import CuttingPlan
from .planning import MaterialPlan

MM2_PER_M2 = 1_000_000


def material_row(material: MaterialPlan) -> dict:
    taken_mm2 = sum(strip.area_mm2 for strip in material.strips)
    pieces = material.pieces_by_id
    laid_mm2 = sum(pieces[blank.id].net_mm2 for strip in material.strips for blank in strip.blanks)
    back_mm2 = sum(width * length for strip in material.strips for width, length in strip.offcuts)
    cut_off_mm2 = sum(strip.cut_off_mm2 for strip in material.strips)
    waste_mm2 = cut_off_mm2 - laid_mm2 - back_mm2
    return {
        "reinforcement": material.reinforcement.pk,
        "name": material.reinforcement.name,
        "cut_width_mm": material.width_mm,
        "needed_m2": m2(sum(piece.net_mm2 * piece.count for piece in material.pieces)),
        "laid_m2": m2(laid_mm2),
        "taken_mm": sum(strip.length_mm for strip in material.strips),
        "taken_m2": m2(taken_mm2),
        "left_mm": sum(item.clean_mm for item in material.cloth) - _gone_mm(material),
        "offcuts": _offcuts(material),
        "waste_m2": m2(waste_mm2),
        "waste_percent": round(100 * waste_mm2 / cut_off_mm2, 1) if cut_off_mm2 else 0.0,
        "waste_money": _money(material, waste_mm2),
        "bound_m2": m2(material.found.bound_mm2) if material.found else None,
        "gap_percent": _gap_percent(material),
        "proved": bool(material.found and material.found.proved),
        "short": [vars(short) for short in material.short],
        "notes": list(material.notes),
        "left_over": _left_over(material),
        "ways": material.ways,
        "merit": list(material.merit),
        "search": _search(material),
        "cut_off_m2": m2(cut_off_mm2),
    }


def m2(area_mm2: int) -> float:
    return round(area_mm2 / MM2_PER_M2, 3)


def _offcuts(material: MaterialPlan) -> list[dict]:
    return [
        {"roll": strip.cloth.roll.code, "strip": strip.number, "width_mm": width, "length_mm": length}
        for strip in material.strips
        for width, length in strip.offcuts
    ]


def _search(material: MaterialPlan) -> dict:
    """Figures of the search in mm²: usable cloth of the strips, and the least that any plan must use."""
    found = material.found
    return {"cloth_mm2": found.cloth_mm2 if found else 0, "bound_mm2": found.bound_mm2 if found else 0}


def _left_over(material: MaterialPlan) -> list[dict]:
    """What the picture shows beside the blanks: offcuts to keep and ends of no use, where they lie."""
    return [
        {"roll": strip.cloth.roll.code, "strip": strip.number, **vars(piece)}
        for strip in material.strips
        for piece in strip.left
    ]


def _gone_mm(material: MaterialPlan) -> int:
    """Clean length that leaves the rolls: of the strips, and the clean ends cut away before them."""
    return sum(strip.clean_mm + sum(strip.ends_mm) for strip in material.strips)


def _money(material: MaterialPlan, waste_mm2: int) -> str | None:
    price = material.reinforcement.price_per_m2
    return None if price is None else str(round(Decimal(waste_mm2) / MM2_PER_M2 * price, 2))


def _gap_percent(material: MaterialPlan) -> float | None:
    """Rounded up, since it is said to be the most."""
    return None if material.found is None or material.found.gap is None else ceil(1000 * material.found.gap) / 10


def offcuts_by_strip(plan: CuttingPlan) -> dict[tuple[str, int], list[tuple[int, int]]]:
    """(width_mm, length_mm) of the pieces worth keeping, by roll code and strip number."""
    found = defaultdict(list)
    for row in plan.materials:
        for piece in row["offcuts"]:
            found[piece["roll"], piece["strip"]].append((piece["width_mm"], piece["length_mm"]))
    return found


def kept_beside(plan: CuttingPlan) -> dict[tuple[str, int], list[LeftOver]]:
    """The offcuts to keep of each strip and of the ends before it, by roll code and strip number."""
    found = defaultdict(list)
    for row in plan.materials:
        for piece in row.get("left_over", ()):
            if piece["kept"]:
                left = {name: piece[name] for name in ("from_mm", "x_mm", "length_mm", "width_mm", "kept")}
                found[piece["roll"], piece["strip"]].append(LeftOver(**left))
    return found


def left_over_by_roll(plan: CuttingPlan) -> dict[str, list[tuple]]:
    """(from_mm, x_mm, length_mm, width_mm, kept) of what a plan leaves over, by roll code; older plans tell none."""
    found = defaultdict(list)
    for row in plan.materials:
        for piece in row.get("left_over", ()):
            place = (piece["from_mm"], piece["x_mm"], piece["length_mm"], piece["width_mm"], piece["kept"])
            found[piece["roll"]].append(place)
    return found
