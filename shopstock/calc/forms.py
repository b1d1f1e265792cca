"""What kinds of reinforcement there are: form, fibre and weave, with the defaults a shop starts from.

Every default here can be overwritten by the product's own data sheet. ``sure`` marks how far a figure can be trusted:
``read`` (printed in a published source), ``memory`` (usual figure, source not read), ``practice`` (common shop
practice).
"""

from dataclasses import dataclass
from decimal import Decimal

CLOTH = "cloth"
CHOPPED_STRAND_MAT = "mat"
WOVEN_ROVING = "woven_roving"
COMBINATION_MAT = "combination"
STITCHED_MULTIAXIAL = "stitched"
UNIDIRECTIONAL = "unidirectional"
TAPE = "tape"
VEIL = "veil"
CORE = "core"

TURN_ANY = "any"
TURN_IF_BALANCED = "if_balanced"
TURN_NEVER = "never"

OZ_PER_SQUARE_FOOT = "oz/ft²"
OZ_PER_SQUARE_YARD = "oz/yd²"


class UnknownForm(ValueError):
    """A form, fibre or weave that the shop does not keep."""


@dataclass(frozen=True)
class Form:
    """One form of reinforcement; areal weights in g/m², tolerance in per cent of the nominal areal weight."""

    key: str
    name: str
    trade_unit: str
    lightest_gsm: Decimal
    heaviest_gsm: Decimal
    weight_tolerance_percent: Decimal
    tolerance_sure: str
    needs_layers: bool
    turn_rule: str


@dataclass(frozen=True)
class Fibre:
    """One fibre with its density in g/cm³."""

    key: str
    name: str
    density_g_per_cm3: Decimal
    sure: str
    note: str = ""


def _form(key, name, unit, light, heavy, tolerance, sure, *, layers=False, turn=TURN_NEVER) -> Form:
    return Form(key, name, unit, Decimal(light), Decimal(heavy), Decimal(tolerance), sure, layers, turn)


_FT, _YD = OZ_PER_SQUARE_FOOT, OZ_PER_SQUARE_YARD

# The range is what is made at all, so that a slip of 9 (square foot for square yard) falls outside it.
# ±10 %: ASTM D4389 for woven roving, makers' data sheets for mat. ±5 % for the rest is usual on data sheets.
FORMS: dict[str, Form] = {
    form.key: form
    for form in (
        _form(CLOTH, "cloth", _YD, "18", "1400", "5", "memory", turn=TURN_IF_BALANCED),
        _form(CHOPPED_STRAND_MAT, "chopped strand mat", _FT, "75", "1300", "10", "read", turn=TURN_ANY),
        _form(WOVEN_ROVING, "woven roving", _YD, "200", "1500", "10", "read", turn=TURN_IF_BALANCED),
        _form(COMBINATION_MAT, "combination mat", _YD, "300", "2500", "10", "practice", layers=True),
        _form(
            STITCHED_MULTIAXIAL,
            "stitched multiaxial",
            _YD,
            "80",
            "2500",
            "5",
            "memory",
            layers=True,
            turn=TURN_IF_BALANCED,
        ),
        _form(UNIDIRECTIONAL, "unidirectional", _YD, "50", "1500", "5", "memory"),
        _form(TAPE, "tape", _YD, "18", "1400", "5", "memory"),
        _form(VEIL, "veil", _YD, "8", "120", "10", "practice", turn=TURN_ANY),
        _form(CORE, "core", _YD, "30", "15000", "10", "practice", turn=TURN_ANY),
    )
}

E_GLASS = "e_glass"
S_GLASS = "s_glass"
CARBON = "carbon"
ARAMID = "aramid"
BASALT = "basalt"
FLAX = "flax"
POLYETHYLENE = "polyethylene"

FIBRES: dict[str, Fibre] = {
    fibre.key: fibre
    for fibre in (
        Fibre(E_GLASS, "E-glass", Decimal("2.56"), "read", "ISO 12215-5; printed values run 2.54 to 2.62"),
        Fibre(S_GLASS, "S-glass", Decimal("2.48"), "read"),
        Fibre(CARBON, "carbon", Decimal("1.80"), "read", "ISO 12215-5; high modulus grades about 1.90"),
        Fibre(ARAMID, "aramid", Decimal("1.45"), "read", "ISO 12215-5; printed values run 1.44 to 1.47"),
        Fibre(BASALT, "basalt", Decimal("2.70"), "memory", "usual range 2.65 to 2.75"),
        Fibre(FLAX, "flax", Decimal("1.40"), "read", "up to 1.50"),
        Fibre(POLYETHYLENE, "polyethylene", Decimal("0.97"), "read", "ultra-high molecular weight"),
    )
}

PLAIN = "plain"
TWILL = "twill"
SATIN = "satin"
BASKET = "basket"
NO_WEAVE = "none"

WEAVES: dict[str, str] = {
    PLAIN: "plain",
    TWILL: "twill",
    SATIN: "satin",
    BASKET: "basket",
    NO_WEAVE: "none (stitched or mat)",
}

POLYESTER_CURED_G_PER_CM3 = Decimal("1.20")
POLYESTER_LIQUID_KG_PER_L = Decimal("1.10")


def form_of(key: str) -> Form:
    """The form named ``key``; raises UnknownForm that lists the forms."""
    try:
        return FORMS[key]
    except KeyError:
        raise UnknownForm(f"“{key}” is not a form of reinforcement. Use one of: {', '.join(FORMS)}.") from None


def fibre_of(key: str) -> Fibre:
    """The fibre named ``key``; raises UnknownForm that lists the fibres."""
    try:
        return FIBRES[key]
    except KeyError:
        raise UnknownForm(f"“{key}” is not a fibre. Use one of: {', '.join(FIBRES)}.") from None


def turns_allowed(form: str, *, balanced: bool) -> tuple[int, ...]:
    """Turns in degrees that leave a ply of this form the same, on the roll, as drawn.

    ``balanced`` says that warp and weft carry the same fibre; only then do 0° and 90° of a woven or stitched fabric not
    need to be told apart. Raises UnknownForm. Source: repair manual TM 1-1500-204-23-11 for balanced weaves; mat,
    common practice. Worked: mat turns (0, 90); unidirectional (0,) always.
    """
    rule = form_of(form).turn_rule
    turns_freely = rule == TURN_ANY or (rule == TURN_IF_BALANCED and balanced)
    return (0, 90) if turns_freely else (0,)
