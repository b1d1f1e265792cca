"""Which plies of a part are to be replaced, and what lies on both sides of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from jobs.calc.laid_ply import LaidPly
from jobs.calc.stand_in_search import Gap
from jobs.cloth_taken import as_laid
from jobs.laid_plies import laid_as, laid_ply_of
from jobs.lay_up_text import LaidFabric
from jobs.models import Job, Part, Ply
from jobs.queries import with_lay_up


class NoSpecification(Exception):
    """There is nothing to compare with; the message says what to do."""


@dataclass(frozen=True)
class Target:
    """The plies of a part that are to be replaced, its lay-up loaded."""

    job: Job
    part: Part
    replaced: tuple[Ply, ...]

    @property
    def plies(self) -> list[Ply]:
        return list(self.part.plies.all())

    @property
    def is_whole(self) -> bool:
        return len(self.replaced) == len(self.plies)

    @cached_property
    def gap(self) -> Gap:
        """Raises REFUSALS."""
        numbers = {ply.number for ply in self.replaced}
        low, high = min(numbers), max(numbers)
        laid = [(ply.number, laid_ply_of(ply, self.job.process)) for ply in self.plies]
        return Gap(
            tuple(ply for number, ply in laid if number < low),
            tuple(ply for number, ply in laid if low <= number <= high),
            tuple(ply for number, ply in laid if number > high),
        )

    @property
    def pattern(self) -> Ply:
        """A ply as large as the largest replaced one, after which those that stand in are cut."""
        first = self.replaced[0]
        whole = as_laid(first, first.reinforcement, first.direction)
        whole.length_mm = max(ply.length_mm for ply in self.replaced)
        whole.width_mm = max(ply.width_mm for ply in self.replaced)
        whole.count = max(ply.count for ply in self.replaced)
        outlined = (ply for ply in self.replaced if (ply.length_mm, ply.width_mm) == (whole.length_mm, whole.width_mm))
        whole.outline = next(outlined, first).outline
        return whole

    def patterns(self, plies: int) -> list[Ply]:
        """After which each of so many plies that stand in is cut: one for one as before, else all as the largest."""
        return list(self.replaced) if plies == len(self.replaced) else [self.pattern] * plies

    def laid(self, plies: Sequence[LaidFabric]) -> list[LaidPly]:
        """Plies as they would be laid; one that stays as specified keeps its own fibre share. Raises REFUSALS."""
        process = self.job.process
        if len(plies) != len(self.replaced):
            return [laid_as(ply.fabric, ply.direction, process) for ply in plies]
        return [
            one if ply == old else laid_as(ply.fabric, ply.direction, process)
            for ply, old, one in zip(plies, self.specified, self.gap.replaced, strict=True)
        ]

    @property
    def specified(self) -> list[LaidFabric]:
        return [LaidFabric(ply.reinforcement, ply.direction) for ply in self.replaced]


def target_of(part_pk: int, ply_pks: Sequence[int]) -> Target:
    """Raises NoSpecification."""
    part = Part.objects.filter(pk=part_pk).first()
    if part is None:
        raise NoSpecification("This part is not there any more. Open its job again.")
    job = with_lay_up(Job.objects.filter(pk=part.job_id)).get()
    part = next(one for one in job.parts.all() if one.pk == part_pk)
    plies = list(part.plies.all())
    replaced = [ply for ply in plies if ply.pk in set(ply_pks)] if ply_pks else plies
    if not replaced or len(replaced) < len(set(ply_pks)):
        raise NoSpecification("These plies are not in the lay-up any more. Open the job again.")
    at = [plies.index(ply) for ply in replaced]
    if at != list(range(at[0], at[0] + len(at))):
        raise NoSpecification("Choose plies that lie on one another, or the whole lay-up.")
    return Target(job, part, tuple(replaced))
