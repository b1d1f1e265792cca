import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from jobs.models import Job
from jobs.plans import drop_offers, leave_plan, lock_job, require_planned_work
from jobs.queries import confirmed_plan, cut_or_promised_pieces, open_promises


class NoQuote(Exception):
    """A job that cannot be a mere quote: it was taken on, or cloth is cut or set aside for it."""


class ClothFixed(Exception):
    """Cloth is set aside by what the job allowed before."""


def new_job(*, job: Job, by: AbstractBaseUser, at: datetime.datetime) -> Job:
    job.made_by, job.made_at = by, at
    job.save()
    return job


@transaction.atomic
def change_job(*, job: Job) -> Job:
    """Save what a form changed; the state stays as the plans made it, and a job that was taken on stays so."""
    now = lock_job(job)
    require_planned_work(Job(name=job.name, state=now.state))
    if job.is_quoted:
        _require_no_promise(now)
    elif now.is_quoted:
        raise NoQuote(f"{job} is quoted, {now.chance_percent} %. To make it firm, say “Taken on” on its page.")
    if job.lot_rule != now.lot_rule:
        _open_for_other_cloth(now, "the lots")
    if job.is_non_structural != now.is_non_structural:
        _open_for_other_cloth(now, "whether it carries load")
    job.state, job.taken_on_by, job.taken_on_at = now.state, now.taken_on_by, now.taken_on_at
    job.save()
    return job


def _open_for_other_cloth(job: Job, what: str) -> None:
    """Plans on offer were made for other cloth; a confirmed one must be taken back by whoever knows what it holds."""
    plan = confirmed_plan(job)
    if plan is not None and open_promises(plan).exists():
        raise ClothFixed(f"Cloth is set aside for this job. Cancel its cutting plan first, then change {what}.")
    drop_offers(job)


def _require_no_promise(job: Job) -> None:
    if job.taken_on_at is not None:
        raise NoQuote(f"{job} was taken on by {job.taken_on_by} on {job.taken_on_at:%Y-%m-%d}: leave the chance empty.")
    if cut_or_promised_pieces(job):
        raise NoQuote(f"Cloth is cut or set aside for {job}: it is no quote. Cancel its cutting plan first.")


@transaction.atomic
def take_on(*, job: Job, by: AbstractBaseUser, at: datetime.datetime) -> Job:
    """Make a quoted job firm, by name; from now on it counts in full. Twice is once."""
    job = lock_job(job)
    require_planned_work(job)
    if job.is_quoted:
        job.chance_percent, job.taken_on_by, job.taken_on_at = None, by, at
        job.save(update_fields=["chance_percent", "taken_on_by", "taken_on_at"])
    return job


@transaction.atomic
def cancel_job(*, job: Job, at: datetime.datetime) -> int:
    """Take a job off the list of work and give back its cloth; returns how many strips were given back."""
    job = lock_job(job)
    if job.state == Job.State.CANCELLED:
        return 0
    require_planned_work(job)
    plan = confirmed_plan(job)
    given_back = 0 if plan is None else leave_plan(plan, job, at=at)
    drop_offers(job, at=at)
    Job.objects.filter(pk=job.pk).update(state=Job.State.CANCELLED)
    return given_back
