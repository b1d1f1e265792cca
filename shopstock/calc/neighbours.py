"""What must not stand together or where: the rules as data, each with its source, and what breaks them.

A rule names a group (what a thing is) and what it must not stand beside: another group, or the condition of a place.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

REFUSE, WARN = "refuse", "warn"

PEROXIDE, PROMOTER, AMINE, ACID, ACETONE, FLAMMABLE = "peroxide", "promoter", "amine", "acid", "acetone", "flammable"
RESIN, FABRIC, ARAMID, PREPREG = "resin", "fabric", "aramid", "prepreg"
GROUPS = {
    PEROXIDE: "organic peroxide",
    PROMOTER: "promoter",
    AMINE: "amine or amine hardener",
    ACID: "acid",
    ACETONE: "acetone",
    FLAMMABLE: "flammable liquid",
    RESIN: "resin",
    FABRIC: "fabric",
    ARAMID: "aramid",
    PREPREG: "prepreg",
}

IN_STEEL, ON_WOOD, IN_DAYLIGHT, NOT_A_FREEZER = "in steel", "on wood", "in daylight", "out of the freezer"
ON_THE_FLOOR, ON_END, UNDER_DRUMS, NEAR_SANDING = "on the floor", "on end", "under drums", "near sanding"
CONDITIONS = {
    IN_STEEL: "in a steel container",
    ON_WOOD: "on wood or a wooden pallet",
    IN_DAYLIGHT: "in daylight",
    NOT_A_FREEZER: "out of the freezer",
    ON_THE_FLOOR: "on the floor",
    ON_END: "standing on end",
    UNDER_DRUMS: "under drums or cans",
    NEAR_SANDING: "beside sanding or grinding",
}

# What a chemical of a kind is until its sheet says more; flammability is judged apart, by its category.
GROUPS_OF_KIND = {
    "polyester": (RESIN,),
    "vinylester": (RESIN,),
    "epoxy": (RESIN,),
    "gelcoat": (RESIN,),
    "hardener": (AMINE,),
    "peroxide": (PEROXIDE,),
    "promoter": (PROMOTER,),
    "solvent": (),
    "adhesive": (),
}
FLAMMABLE_UNLESS_STATED = frozenset({"polyester", "vinylester", "gelcoat", "solvent", "promoter"})


@dataclass(frozen=True)
class Rule:
    """A group, what it must not stand beside or where, how strictly, why, and where the rule stands."""

    subject: str
    beside: str
    severity: str
    reason: str
    source: str


_WITH_PEROXIDE = "UK HSE note CS21 and US TM 38-410, as read in excerpts"
_ARMY = "US Army TM 1-1500-204-23-11"
RULES = (
    Rule(PEROXIDE, PROMOTER, REFUSE, "mixed directly they explode", "California Title 8 §5461; US TM 38-410"),
    Rule(PEROXIDE, AMINE, REFUSE, "amines break peroxide down with heat", _WITH_PEROXIDE),
    Rule(PEROXIDE, ACID, REFUSE, "acids break peroxide down with heat", _WITH_PEROXIDE),
    Rule(PEROXIDE, ACETONE, REFUSE, "with acetone it can form an explosive", "US TM 38-410; spray-gun manuals"),
    Rule(PEROXIDE, FLAMMABLE, REFUSE, "it feeds any fire: give it a cabinet of its own", _WITH_PEROXIDE),
    Rule(PEROXIDE, IN_STEEL, REFUSE, "iron breaks it down: keep it in the container it came in", "UK HSE CS21"),
    Rule(PEROXIDE, ON_WOOD, WARN, "a spill into wood can take fire", "makers’ storage advice"),
    Rule(PEROXIDE, IN_DAYLIGHT, WARN, "sun heats it past its storage temperature", "makers’ storage advice"),
    Rule(ARAMID, IN_DAYLIGHT, REFUSE, "ultraviolet light weakens aramid", _ARMY),
    Rule(PREPREG, NOT_A_FREEZER, WARN, "its time out of the freezer runs", "prepreg guides"),
    Rule(FABRIC, ON_THE_FLOOR, WARN, "it takes up damp and dirt: keep it off the floor", "common practice, no source"),
    Rule(FABRIC, ON_END, WARN, "edges fray and the tube slips: lay it down, held by its core", "common practice"),
    Rule(FABRIC, UNDER_DRUMS, WARN, "a leak from above spoils it", "common practice, no source"),
    Rule(FABRIC, NEAR_SANDING, WARN, "dust spoils the bond: wrap it, take outer layers off", _ARMY),
    Rule(RESIN, IN_DAYLIGHT, WARN, "light and warmth shorten its life: keep it dark", "resin makers’ data sheets"),
)  # fmt: skip


@dataclass(frozen=True)
class Thing:
    """One roll or container: its name, its groups, conditions it brings itself (in steel, on end), and its code."""

    name: str
    groups: frozenset[str]
    conditions: frozenset[str] = frozenset()
    code: str = ""


@dataclass(frozen=True)
class Spot:
    """A place: its conditions, what alone may stand there (empty for anything), and what stands there."""

    name: str
    conditions: frozenset[str] = frozenset()
    allowed: frozenset[str] = frozenset()
    things: tuple[Thing, ...] = ()


@dataclass(frozen=True)
class Breach:
    """A rule broken by a thing at a place, and the neighbour it is broken with, if any."""

    severity: str
    words: str
    rule: Rule | None = None
    neighbour: str = ""
    neighbour_code: str = ""

    @property
    def is_refused(self) -> bool:
        return self.severity == REFUSE


def groups_of(kind: str, acts_as: Iterable[str] = (), flammable_category: int | None = None) -> frozenset[str]:
    """The groups of a chemical by its kind, what its sheet adds, and its flammable category (0 = not; None = unknown).

    Worked: "hardener" → amine; "polyester" without a category → resin and flammable; with category 0 → resin alone.
    """
    found = {*GROUPS_OF_KIND.get(kind, ()), *acts_as}
    if is_flammable(kind, flammable_category):
        found.add(FLAMMABLE)
    return frozenset(found)


def is_flammable(kind: str, category: int | None) -> bool:
    """Whether it counts as a flammable liquid; a sheet that does not say leaves what is usual for its kind."""
    return kind in FLAMMABLE_UNLESS_STATED if category is None else category > 0


def breaches(thing: Thing, spot: Spot, rules: Sequence[Rule] = RULES) -> list[Breach]:
    """Every rule that a thing breaks at a place, as subject or as neighbour; refusals first.

    Worked: a can of peroxide to a cabinet with promoter in it → refused, with the promoter named.
    """
    found = [*_not_allowed(thing, spot)]
    for rule in rules:
        if rule.subject in thing.groups and rule.beside in (thing.conditions | spot.conditions):
            found.append(
                Breach(rule.severity, f"{_capital(rule.subject)} {CONDITIONS[rule.beside]}: {rule.reason}", rule)
            )
        found += [
            Breach(rule.severity, _together(rule), rule, other.name, other.code)
            for other in _clashing(rule, thing, spot)
        ]
    return sorted(found, key=lambda breach: breach.severity)


def partners(groups: Iterable[str], rules: Sequence[Rule] = RULES) -> frozenset[str]:
    """The groups that some rule keeps apart from one of these, whichever of the two the rule is about.

    Worked: promoter → peroxide; fabric → none, as nothing but places spoils it.
    """
    mine = frozenset(groups)
    pairs = [(rule.subject, rule.beside) for rule in rules if rule.beside in GROUPS]
    return frozenset(other for one, two in pairs for this, other in ((one, two), (two, one)) if this in mine)


def _clashing(rule: Rule, thing: Thing, spot: Spot) -> list[Thing]:
    return [other for other in spot.things if _clash(rule, thing.groups, other.groups)]


def _clash(rule: Rule, one: frozenset[str], other: frozenset[str]) -> bool:
    """Two things clash when one is what the rule names and the other what it must not meet; a thing is itself both
    only by what its sheet says, and does not clash with its own kind."""
    if rule.beside not in GROUPS:
        return False
    return (rule.subject in one and rule.beside in other - {rule.subject} and rule.subject not in other) or (
        rule.subject in other and rule.beside in one and rule.subject not in one
    )


def _together(rule: Rule) -> str:
    return f"{_capital(rule.subject)} beside {GROUPS[rule.beside]}: {rule.reason}"


def _capital(group: str) -> str:
    name = GROUPS[group]
    return name[:1].upper() + name[1:]


def _not_allowed(thing: Thing, spot: Spot) -> Iterable[Breach]:
    if spot.allowed and not thing.groups & spot.allowed:
        names = ", ".join(GROUPS.get(group, group) for group in sorted(spot.allowed))
        yield Breach(REFUSE, f"{spot.name} is kept for: {names}")


@dataclass(frozen=True)
class Flammables:
    """Litres of flammable liquid in one place, by the two classes that have a limit."""

    cat_1_to_3_l: float
    cat_4_l: float

    def over(self, limit_l: float, limit_cat_4_l: float) -> str:
        """Which of the two limits (L) is passed, in words; empty when neither is.

        Source: 29 CFR 1910.106(d)(3)(i): at most 60 gal (227.1 L) of category 1 to 3, or 120 gal (454.2 L) of category
        4. Worked: 228 L of category 3 → "228.0 L of category 1 to 3; at most 227.1 L".
        """
        if self.cat_1_to_3_l > limit_l:
            return f"{self.cat_1_to_3_l:.1f} L of category 1 to 3; at most {limit_l:g} L"
        if self.cat_4_l > limit_cat_4_l:
            return f"{self.cat_4_l:.1f} L of category 4; at most {limit_cat_4_l:g} L"
        return ""


def flammables(liquids: Iterable[tuple[float, float, int]]) -> Flammables:
    """Litres in one place from (mass g, density kg/L, flammable category 1 to 4).

    Source: V = m/ρ; the split follows 29 CFR 1910.106(d)(3)(i). Worked: 25 kg at 1.10 of category 3 → 22.7 L.
    """
    totals = {True: 0.0, False: 0.0}
    for mass_g, density, category in liquids:
        totals[category <= 3] += mass_g / density / 1000
    return Flammables(totals[True], totals[False])
