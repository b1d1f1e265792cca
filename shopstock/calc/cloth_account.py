"""Where cloth went, in areas: every line of the ledger split into named flows that add up to it."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

BOUGHT, RETURNED, PARTS, TRIMMED = "bought", "returned", "parts", "trimmed"
KEPT, BACK, SCRAPPED, RECOUNTED, MOVED = "kept", "back as offcuts", "scrapped", "recounted", "moved"
FLOWS = (BOUGHT, RETURNED, PARTS, TRIMMED, KEPT, BACK, SCRAPPED, RECOUNTED, MOVED)

_WHOLE = {
    "receipt": BOUGHT,
    "return": RETURNED,
    "offcut": BACK,
    "recount": RECOUNTED,
    "split": MOVED,
    "join": MOVED,
}

Flows = Mapping[str, int]


class UnknownLine(ValueError):
    """A kind of line that the account does not know."""


def flows_of_line(kind: str, area_mm2: int, *, parts_mm2: int | None = None, kept_mm2: int = 0) -> Flows:
    """The named flows of one line, in mm², below 0 for what leaves; they add up to ``area_mm2``.

    kind: of the ledger line. area_mm2: its change of length times the roll's width. parts_mm2: of a cut, the area of
    the planned pieces, None for a cut without a plan, which counts as parts whole. kept_mm2: what of it became stock
    again as offcuts, whose own lines bring it back. Raises UnknownLine. Source: own rule. Worked: a cut of 2.5 m² with
    2.0 m² of pieces and an offcut of 0.3 m² is parts −2.0, kept −0.3, trimmed −0.2 m²; the offcut is back +0.3 m².
    """
    if kind in _WHOLE:
        return {_WHOLE[kind]: area_mm2}
    if kind == "cut":
        return _of_cut(area_mm2, parts_mm2, kept_mm2)
    if kind == "loss":
        return {KEPT: -kept_mm2, SCRAPPED: area_mm2 + kept_mm2}
    if area_mm2 == 0:
        return {}
    raise UnknownLine(f"A line of the kind “{kind}” changes a length, and the account does not know it.")


def _of_cut(area_mm2: int, parts_mm2: int | None, kept_mm2: int) -> Flows:
    """A cut shorter than its pieces, or offcuts larger than it, show as trimmed above 0: the entries need a look."""
    rest_mm2 = -area_mm2 - kept_mm2
    parts = rest_mm2 if parts_mm2 is None else parts_mm2
    return {PARTS: -parts, KEPT: -kept_mm2, TRIMMED: parts - rest_mm2}


def turned_back(flows: Flows) -> Flows:
    """The flows of the line that takes another one back."""
    return {name: -area for name, area in flows.items()}


def shared_out(flows: Flows, parts_mm2: Sequence[int]) -> list[Flows]:
    """The flows of one cut, or of an offcut of it, shared among jobs whose pieces came out of it: parts as they are,
    the rest by their area.

    parts_mm2: area of the pieces of each job. Nothing is lost to rounding. Raises nothing. Worked: trimmed −4 between
    pieces of 3 and 1 → −3 and −1.
    """
    total, left, shares = sum(parts_mm2), dict(flows), []
    for number, area in enumerate(parts_mm2, start=1):
        if number == len(parts_mm2):
            shares.append(left)
            break
        mine = {name: flow * area // total if total else 0 for name, flow in flows.items()}
        if PARTS in flows:
            mine[PARTS] = -area
        left = {name: flow - mine[name] for name, flow in left.items()}
        shares.append(mine)
    return shares


def together(flows: Iterable[Flows]) -> Counter:
    """All flows added up, in mm²; zero ones left out. Worked: parts −2 and parts −3 → parts −5."""
    total: Counter = Counter()
    for one in flows:
        total.update(one)
    return Counter({name: area for name, area in total.items() if area})
