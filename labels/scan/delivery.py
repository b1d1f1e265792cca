"""From a supplier's label to what the receiving form starts with, and where the label and the catalogue disagree."""

from dataclasses import dataclass

from labels.calc.supplier_label import SupplierLabel
from shopstock.calc.units import format_length, format_mass, format_width
from shopstock.models import Chemical, Reinforcement, SupplierArticle

WIDTH_DIFFERS_MM = 10
LENGTH_DIFFERS = 0.02
MASS_DIFFERS = 0.02


@dataclass(frozen=True)
class Said:
    """One line of the label; `catalogue` is what the catalogue has instead, where they differ."""

    name: str
    value: str
    catalogue: str = ""


def article_of(label: SupplierLabel) -> SupplierArticle | None:
    articles = SupplierArticle.objects.select_related("reinforcement", "chemical")
    return articles.filter(gtin=label.gtin).first() if label.gtin else None


def said(label: SupplierLabel, article: SupplierArticle | None, units: str) -> list[Said]:
    """Everything on the label, in the order of the form; what differs from the catalogue is shown beside it."""
    cloth = article.reinforcement if article else None
    product = article.chemical if article else None
    lines = [
        ("Article (GTIN)", label.gtin, ""),
        ("Lot or batch", label.lot, ""),
        ("Serial number", label.serial, ""),
        ("Width", label.width_mm and format_width(label.width_mm, units), _width(label, cloth, units)),
        ("Length", label.length_mm and format_length(label.length_mm, units), _length(label, cloth, units)),
        ("Net mass", label.net_g and format_mass(label.net_g, units), _mass(label, product, units)),
        ("Core, inside", label.core_mm and format_width(label.core_mm, units), ""),
        ("Wound", label.winding, ""),
        ("Splices", "" if label.splices is None else str(label.splices), ""),
        ("Made on", _day(label, "made_on"), ""),
        ("Best before", _day(label, "best_before"), ""),
        ("Use by", _day(label, "expires_on"), ""),
        *((name, value, "") for name, value in label.others),
    ]
    return [Said(name, str(value), other) for name, value, other in lines if value]


def _width(label: SupplierLabel, cloth: Reinforcement | None, units: str) -> str:
    if not cloth or not label.width_mm or abs(label.width_mm - cloth.width_mm) <= WIDTH_DIFFERS_MM:
        return ""
    return format_width(cloth.width_mm, units)


def _length(label: SupplierLabel, cloth: Reinforcement | None, units: str) -> str:
    if not cloth or not label.length_mm:
        return ""
    off = abs(label.length_mm - cloth.roll_length_mm)
    return format_length(cloth.roll_length_mm, units) if off > LENGTH_DIFFERS * cloth.roll_length_mm else ""


def _mass(label: SupplierLabel, product: Chemical | None, units: str) -> str:
    if not product or not product.pack_g or not label.net_g:
        return ""
    return (
        format_mass(product.pack_g, units) if abs(label.net_g - product.pack_g) > MASS_DIFFERS * product.pack_g else ""
    )


def _day(label: SupplierLabel, name: str) -> str:
    """As the date fields of the receiving forms take it: a month alone where the label names no day."""
    day = getattr(label, name)
    if day is None:
        return ""
    return f"{day:%Y-%m}" if name in label.names_month else day.isoformat()


def roll_start(label: SupplierLabel, cloth: Reinforcement | None) -> dict[str, str]:
    """The query with which the receiving form of rolls fills itself."""
    start = {
        "reinforcement": cloth and cloth.pk,
        "lot": label.lot,
        "width": label.width_mm and f"{label.width_mm} mm",
        "length": label.length_mm and f"{label.length_mm} mm",
        "splices_told": label.splices,
        "note": "; ".join(_remarks(label))[:120],
    }
    return {name: str(value) for name, value in start.items() if value}


def _remarks(label: SupplierLabel) -> list[str]:
    """What the form has no field of its own for."""
    remarks = [f"serial {label.serial}"] if label.serial else []
    if label.core_mm:
        remarks.append(f"core {label.core_mm} mm inside")
    if label.winding:
        remarks.append(f"wound {label.winding}")
    return remarks


def container_start(label: SupplierLabel, product: Chemical | None) -> dict[str, str]:
    """The query with which the receiving form of containers fills itself."""
    use_by = "expires_on" if label.expires_on else "best_before"
    start = {
        "chemical": product and product.pk,
        "batch": label.lot,
        "net": label.net_g and f"{label.net_g / 1000:g} kg",
        "label_date": _day(label, use_by),
        "made_on": _day(label, "made_on"),
    }
    return {name: str(value) for name, value in start.items() if value}
