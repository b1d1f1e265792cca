"""What a label says, by kind, and the order of weight in which it says it."""

from dataclasses import dataclass
from typing import Literal

ALONG, ACROSS = "along", "across"
Direction = Literal["along", "across"]


TWIN_NOTE = "twin of the outer label: keep inside the tube"


@dataclass(frozen=True)
class RollLabel:
    """A roll or an offcut; a twin is stuck inside the tube, for when the outer wrap with its label is cut away.

    warp_along is None where a material has no warp, as mat.
    """

    code: str
    payload: str
    reinforcement: str
    form: str
    areal_weight_text: str
    width_text: str
    lot: str
    length_text: str
    received_text: str
    warp_along: bool | None = True
    note: str = "keep on the tube, do not fold"
    kind: Literal["roll", "offcut"] = "roll"
    place: str = ""
    twin: bool = False


@dataclass(frozen=True)
class ContainerLabel:
    """A drum, pail or can. hazard_codes and pictograms are copied from the product's safety data sheet, never derived.

    litres is what the package holds, by which the pictograms have their size.
    """

    code: str
    payload: str
    product: str
    role: str
    batch: str
    expiry_text: str
    opened_text: str = ""
    hazard_codes: tuple[str, ...] = ()
    note: str = "first read the safety data sheet"
    kind: Literal["container"] = "container"
    pictograms: tuple[str, ...] = ()
    litres: float = 1.0


@dataclass(frozen=True)
class PlaceLabel:
    """A rack, shelf, cabinet or freezer."""

    code: str
    payload: str
    name: str
    sort: str
    keeps_text: str
    note: str = ""
    kind: Literal["place"] = "place"


@dataclass(frozen=True)
class KitLabel:
    """One piece cut for a job, so that it is found when its turn comes; the code is that of the roll it came from."""

    code: str
    payload: str
    ply: str
    piece: str
    part: str
    job: str
    reinforcement: str
    size_text: str
    warp_along: bool | None = True
    note: str = ""
    kind: Literal["kit"] = "kit"


Label = RollLabel | ContainerLabel | PlaceLabel | KitLabel


@dataclass(frozen=True)
class Fact:
    """One captioned line. An empty value is left as a line to write on; an arrow is drawn before the value.

    A wide fact keeps the whole width where the others stand in two columns.
    """

    caption: str
    value: str
    arrow: Direction | None = None
    wide: bool = False


@dataclass(frozen=True)
class Content:
    code: str
    payload: str
    kind: str
    title: str
    subtitle: str
    facts: tuple[Fact, ...]
    note: str
    pictograms: tuple[str, ...] = ()
    litres: float = 1.0
    headline: str = ""  # in the largest type; the code where there is none


def content_of(label: Label) -> Content:
    """Return what a label says, in the order in which it matters.

    label: any kind. Result: Content. Raises TypeError for anything else.
    Source: own choice: what the clerk looks for first stands first.
    Worked: a roll's facts are weight, width, lot, length and warp.
    """
    match label:
        case RollLabel():
            return _roll_content(label)
        case ContainerLabel():
            return _container_content(label)
        case PlaceLabel():
            return _place_content(label)
        case KitLabel():
            return _kit_content(label)
    raise TypeError(f"{type(label).__name__} is no kind of label.")


def _roll_content(label: RollLabel) -> Content:
    facts = (
        Fact("weight", label.areal_weight_text),
        Fact("width", label.width_text),
        Fact("lot", label.lot or "not given"),
        Fact("length", f"{label.length_text} on {label.received_text}"),
        *_warp(label.warp_along),
    )
    subtitle = f"{label.kind.capitalize()}: {label.form}{f', {label.place}' if label.place else ''}"
    note = TWIN_NOTE if label.twin else label.note
    return Content(label.code, label.payload, label.kind, label.reinforcement, subtitle, facts, note)


def _warp(warp_along: bool | None) -> tuple[Fact, ...]:
    if warp_along is None:
        return ()
    return (Fact("warp", "along length", ALONG) if warp_along else Fact("warp", "across length", ACROSS),)


def _container_content(label: ContainerLabel) -> Content:
    facts = (
        Fact("batch", label.batch or "not given"),
        Fact("use by", label.expiry_text or "not given"),
        Fact("opened", label.opened_text),
        Fact("hazards", " ".join(label.hazard_codes) or "see the safety data sheet", wide=True),
    )
    return Content(
        label.code,
        label.payload,
        label.kind,
        label.product,
        label.role.capitalize(),
        facts,
        label.note,
        label.pictograms,
        label.litres,
    )


def _kit_content(label: KitLabel) -> Content:
    facts = (
        Fact("size", label.size_text),
        Fact("cloth", label.reinforcement),
        *_warp(label.warp_along),
        Fact("job", label.job),
    )
    texts = {"title": label.piece, "subtitle": f"Piece of {label.part}", "headline": label.ply}
    return Content(label.code, label.payload, label.kind, facts=facts, note=label.note, **texts)


def _place_content(label: PlaceLabel) -> Content:
    facts = (Fact("keeps", label.keeps_text or "anything"),)
    return Content(label.code, label.payload, label.kind, label.name, label.sort.capitalize(), facts, label.note)
