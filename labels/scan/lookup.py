"""From what was scanned or typed to the roll or container it names."""

from labels.calc.qr_payload import NotALabelError, Scanned, scan
from shopstock.calc.stock_code import WrongCodeError, group_code, near_codes
from shopstock.models import Container, Place, Roll

Found = Roll | Container | Place


class NothingFound(Exception):
    """No roll or container was meant; `near` are those that differ from what was typed by one character or a swap."""

    def __init__(self, message: str, near: list[Roll | Container] | None = None):
        super().__init__(message)
        self.near = near or []


def find(text: str) -> Found:
    try:
        scanned = scan(text)
    except (NotALabelError, WrongCodeError) as error:
        raise NothingFound(str(error), existing(near_codes(text.rstrip("/").rpartition("/")[2]))) from None
    return find_scanned(scanned)


def find_scanned(scanned: Scanned) -> Found:
    found = _the_roll(scanned.code) or _the_container(scanned.code) or _the_place(scanned.code)
    if found:
        return found
    raise NothingFound(
        f"{group_code(scanned.code)} is a right code, but nothing in this store carries it. "
        "Look whether the label is from this shop; if it is, show it to the clerk."
    )


def _the_roll(code: str) -> Roll | None:
    return Roll.objects.filter(code=code).select_related("reinforcement", "place").first()


def _the_container(code: str) -> Container | None:
    return Container.objects.filter(code=code).select_related("chemical", "place").first()


def _the_place(code: str) -> Place | None:
    return Place.objects.filter(code=code).first()


def existing(codes: list[str]) -> list[Roll | Container]:
    """The rolls and containers with these codes, in the order of the codes."""
    rolls = Roll.objects.filter(code__in=codes).select_related("reinforcement", "place")
    containers = Container.objects.filter(code__in=codes).select_related("chemical", "place")
    by_code = {item.code: item for item in (*rolls, *containers)}
    return [by_code[code] for code in codes if code in by_code]
