"""Stand-ins whose class asks for a designer: which still wait for the name, and how it is noted."""

import datetime
from collections.abc import Mapping, Sequence

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from .models import Job, StandIn
from .plans import lock_job
from .queries import waiting_for_designer


class StandInRefused(Exception):
    """What was wanted of a stand-in cannot be done; the message says what to do."""


class DesignerMissing(Exception):
    """A lay-up is not cut while a stand-in in it waits for its designer."""


@transaction.atomic
def name_designer(*, decision: StandIn, designer: str, by: AbstractBaseUser, at: datetime.datetime) -> StandIn:
    """Note who of the designers agreed; once noted it stays as it is."""
    lock_job(decision.job)
    decision = StandIn.objects.get(pk=decision.pk)
    if decision.designer:
        raise StandInRefused(f"{decision.designer} is noted already. A new decision needs a new stand-in.")
    note_designer(decision, designer, by=by, at=at)
    decision.save()
    return decision


def note_designer(decision: StandIn, designer: str, *, by: AbstractBaseUser, at: datetime.datetime) -> None:
    """Write the name into a decision; the caller saves it."""
    decision.designer, decision.designer_noted_by, decision.designer_noted_at = designer, by, at


def require_designers(
    jobs: Sequence[Job], names: Mapping[int, str], *, by: AbstractBaseUser, at: datetime.datetime
) -> None:
    """Note the names given by stand-in; raises DesignerMissing while one still waits. The jobs are locked already."""
    for decision in (waiting for job in jobs for waiting in waiting_for_designer(job)):
        designer = names.get(decision.pk, "").strip()
        if not designer:
            raise DesignerMissing(
                f"{decision} is class {decision.grade}: enter the designer who agreed to it, then confirm."
            )
        name_designer(decision=decision, designer=designer, by=by, at=at)
