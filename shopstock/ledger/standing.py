"""What may stand where: rolls, containers and places as the rules of neighbours see them."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from django.db.models import Q

from shopstock.calc import neighbours
from shopstock.calc.neighbours import Breach, Rule, Spot, Thing
from shopstock.models import Chemical, Container, Place, PlaceRule, Roll, Shop
from shopstock.models.roll import STILL_OPEN

from .errors import LedgerError
from .locking import lock_place

_PLACE_CONDITIONS = {
    "in_daylight": neighbours.IN_DAYLIGHT,
    "on_wood": neighbours.ON_WOOD,
    "under_drums": neighbours.UNDER_DRUMS,
    "near_sanding": neighbours.NEAR_SANDING,
}
_OF_ROLLS = frozenset({neighbours.FABRIC, neighbours.ARAMID, neighbours.PREPREG})


class MayNotStandThere(LedgerError):
    """A move that brings together what must be kept apart."""


def groups_of_chemical(chemical: Chemical) -> frozenset[str]:
    return neighbours.groups_of(chemical.kind, chemical.acts_as.split(), chemical.flammable_category)


def thing_of(item: Roll | Container) -> Thing:
    return _container(item) if isinstance(item, Container) else _roll(item)


def _container(container: Container) -> Thing:
    steel = {neighbours.IN_STEEL} if container.vessel == Container.Vessel.STEEL else set()
    name = f"{container.chemical.name} {container.code}"
    return Thing(name, groups_of_chemical(container.chemical), frozenset(steel), container.code)


def _roll(roll: Roll) -> Thing:
    cloth, groups = roll.reinforcement, {neighbours.FABRIC}
    if cloth.fibre == "aramid":
        groups.add(neighbours.ARAMID)
    if cloth.is_prepreg:
        groups.add(neighbours.PREPREG)
    on_end = {neighbours.ON_END} if roll.lying == Roll.Lying.ON_END else set()
    return Thing(f"{roll.get_kind_display()} {roll.code}", frozenset(groups), frozenset(on_end), roll.code)


def spot_of(place: Place, things: Iterable[Thing] = ()) -> Spot:
    conditions = {name for field, name in _PLACE_CONDITIONS.items() if getattr(place, field)}
    if place.kind == Place.Kind.FLOOR:
        conditions.add(neighbours.ON_THE_FLOOR)
    if place.kind != Place.Kind.FREEZER:
        conditions.add(neighbours.NOT_A_FREEZER)
    return Spot(place.name, frozenset(conditions), frozenset(place.allowed_groups), tuple(things))


def rules() -> list[Rule]:
    """Those of the trade and the shop's own."""
    own = [Rule(row.subject, row.beside, row.severity, row.reason, row.source) for row in PlaceRule.objects.all()]
    return [*neighbours.RULES, *own]


def breaches_at(item: Roll | Container, place: Place) -> list[Breach]:
    """What would be wrong with the item standing there, beside what stands there already."""
    thing, in_force = thing_of(item), rules()
    met = neighbours.partners(thing.groups, in_force)
    containers = [other for other in _containers_at(place, item, met) if other.code != item.code]
    others = [thing_of(other) for other in (*_rolls_at(place, met), *containers) if other.code != item.code]
    found = neighbours.breaches(thing, spot_of(place, others), in_force)
    return [*found, *_too_much(item, place, containers)]


def _rolls_at(place: Place, met: frozenset[str]) -> Iterable[Roll]:
    """A rack may hold hundreds: they are read only where a rule says what must not stand beside cloth."""
    if not met & _OF_ROLLS:
        return ()
    return Roll.objects.filter(place=place, closed_on=STILL_OPEN).select_related("reinforcement")


def _containers_at(place: Place, item: Roll | Container, met: frozenset[str]) -> Iterable[Container]:
    if not met - _OF_ROLLS and isinstance(item, Roll):
        return ()
    return Container.objects.filter(place=place, closed_on=STILL_OPEN).select_related("chemical")


def _too_much(item: Roll | Container, place: Place, others: list[Container]) -> Iterable[Breach]:
    if isinstance(item, Container) and is_flammable(item) and has_limit(place):
        over = over_limit(place, [item, *others], Shop.current())
        if over:
            yield Breach(neighbours.WARN, f"Too much flammable liquid in one place: {over}")


def is_flammable(container: Container) -> bool:
    return neighbours.is_flammable(container.chemical.kind, container.chemical.flammable_category)


def has_limit(place: Place) -> bool:
    return place.kind == Place.Kind.CABINET or bool(place.flammable_limit_l)


def over_limit(place: Place, containers: Iterable[Container], shop: Shop) -> str:
    """How these containers together pass the shop's limit of flammables at a place; empty when they do not."""
    return flammables_in(containers).over(limit_l(place, shop), float(shop.flammable_limit_cat_4_l))


def limit_l(place: Place, shop: Shop) -> float:
    """Of category 1 to 3: the place's own, or the shop's."""
    return float(place.flammable_limit_l or shop.flammable_limit_l)


def flammables_in(containers: Iterable[Container]) -> neighbours.Flammables:
    return neighbours.flammables(
        (c.mass_g, float(c.chemical.density_liquid), c.chemical.flammable_category or 3)
        for c in containers
        if is_flammable(c)
    )


def require_may_stand(item: Roll | Container, place: Place) -> None:
    """Refuse what a rule forbids; what a rule only warns of is for the person to decide."""
    lock_place(place)
    refused = [breach for breach in breaches_at(item, place) if breach.is_refused]
    if refused:
        raise MayNotStandThere(f"Not to {place}: {' '.join(sentences(refused))} Choose another place.")


def sentences(found: Iterable[Breach]) -> list[str]:
    """One for each rule that is broken, with all the neighbours it is broken with."""
    names: dict[str, list[str]] = defaultdict(list)
    for breach in found:
        names[breach.words] += [breach.neighbour] if breach.neighbour else []
    return [f"{words}{_stand_there(others)}." for words, others in names.items()]


def _stand_there(others: list[str]) -> str:
    if not others:
        return ""
    return f" ({', '.join(others)} stand{'s' if len(others) == 1 else ''} there)"


def all_breaches() -> list[tuple[Roll | Container, Place, Breach]]:
    """Every rule broken in the store as it stands, each pair once."""
    in_force = rules()
    paired = {group for rule in in_force if rule.beside in neighbours.GROUPS for group in (rule.subject, rule.beside)}
    by_place: dict[Place, list[tuple[Roll | Container, Thing]]] = defaultdict(list)
    for item in _that_may_stand_wrong(paired):
        by_place[item.place].append((item, thing_of(item)))
    return [found for place, items in by_place.items() for found in _breaches_in(place, items, paired, in_force)]


def _breaches_in(place: Place, items, paired: set[str], in_force: list[Rule]):
    """A pair is named once, under the one that the rule is about; what no rule pairs is not compared with anything."""
    by_name = {thing.name: item for item, thing in items}
    for number, (item, thing) in enumerate(items):
        pairs = thing.groups & paired
        others = [other for _, other in items[number + 1 :] if other.groups & paired] if pairs else []
        for breach in neighbours.breaches(thing, spot_of(place, others), in_force):
            if breach.neighbour and breach.rule.subject not in thing.groups:
                one = by_name[breach.neighbour]
                yield one, place, replace(breach, neighbour=thing.name, neighbour_code=thing.code)
            else:
                yield item, place, breach


def _that_may_stand_wrong(paired: set[str]) -> list[Roll | Container]:
    """Containers, and of the rolls those that a place's condition, its list or a pair can touch."""
    containers = Container.objects.filter(closed_on=STILL_OPEN, place__isnull=False)
    rolls = Roll.objects.filter(closed_on=STILL_OPEN, place__isnull=False).select_related("reinforcement", "place")
    if not paired & _OF_ROLLS:
        touched = Q(lying=Roll.Lying.ON_END) | Q(place__kind=Place.Kind.FLOOR) | ~Q(place__may_keep="")
        for field in _PLACE_CONDITIONS:
            touched |= Q(**{f"place__{field}": True})
        rolls = rolls.filter(touched)
    return [*rolls, *containers.select_related("chemical", "place")]
