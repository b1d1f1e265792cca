"""From a maker's lot or batch to everything that became of it: what is left, where, and what it went into."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from shopstock import uses
from shopstock.models import Container, ContainerMovement, Movement, Roll
from shopstock.uses import Use

TAKEN = (Movement.Kind.CUT, Movement.Kind.LOSS, Movement.Kind.RETURN)
USED = (ContainerMovement.Kind.DRAW, ContainerMovement.Kind.LOSS, ContainerMovement.Kind.DISPOSAL)


@dataclass(frozen=True)
class Taking:
    """A length or mass that left a roll or container, and what it went into."""

    at: datetime.datetime
    by: str
    kind: str
    of: Roll | Container
    amount: int
    words: str
    uses: tuple[Use, ...]


@dataclass(frozen=True)
class ClothRecall:
    rolls: Sequence[Roll]
    takings: Sequence[Taking]

    @property
    def left_mm(self) -> int:
        return sum(roll.length_mm for roll in self.rolls)

    @property
    def jobs(self) -> list[Use]:
        return _once(self.takings)


@dataclass(frozen=True)
class ResinRecall:
    containers: Sequence[Container]
    takings: Sequence[Taking]

    @property
    def left_g(self) -> int:
        return sum(container.mass_g for container in self.containers)

    @property
    def jobs(self) -> list[Use]:
        return _once(self.takings)


def _once(takings: Sequence[Taking]) -> list[Use]:
    """Each part once, whatever number of cuts went into it."""
    found = {(use.job, use.part): use for taking in takings for use in taking.uses}
    return [found[key] for key in sorted(found)]


def recall_lot(lot: str) -> ClothRecall:
    """Rolls of the lot and the offcuts kept of them; an offcut carries its roll's lot."""
    rolls = Roll.objects.filter(lot=lot).select_related("reinforcement", "supplier", "place", "parent").order_by("pk")
    return cloth_recall(list(rolls))


def cloth_recall(rolls: Sequence[Roll]) -> ClothRecall:
    lines = (
        Movement.objects.filter(roll__in=rolls, kind__in=TAKEN, corrected_by=None)
        .select_related("by", "roll", "set_aside")
        .order_by("happened_at", "pk")
    )
    into = uses.uses_of_set_asides([line.set_aside_id for line in lines if line.set_aside_id])
    takings = [_taking(line, line.roll, -line.delta_mm, into.get(line.set_aside_id, ())) for line in lines]
    return ClothRecall(rolls, takings)


def recall_batch(batch: str) -> ResinRecall:
    containers = list(
        Container.objects.filter(batch=batch).select_related("chemical", "supplier", "place").order_by("pk")
    )
    lines = (
        ContainerMovement.objects.filter(container__in=containers, kind__in=USED)
        .select_related("by", "container")
        .order_by("happened_at", "pk")
    )
    into = uses.uses_of_draws([line.pk for line in lines])
    takings = [_taking(line, line.container, -line.delta_g, into.get(line.pk, ())) for line in lines]
    return ResinRecall(containers, takings)


def _taking(line: Movement | ContainerMovement, of: Roll | Container, amount: int, into: Sequence[Use]) -> Taking:
    return Taking(
        at=line.happened_at,
        by=line.by.get_username(),
        kind=line.get_kind_display(),
        of=of,
        amount=amount,
        words=line.reason,
        uses=tuple(into),
    )


def lots_like(words: str) -> list[str]:
    found = Roll.objects.filter(lot__icontains=words).exclude(lot="").order_by("lot").values_list("lot", flat=True)
    return list(found.distinct()[:20])


def batches_like(words: str) -> list[str]:
    found = Container.objects.filter(batch__icontains=words).exclude(batch="").order_by("batch")
    return list(found.values_list("batch", flat=True).distinct()[:20])
