import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from jobs.models import Job
from jobs.plans import drop_offers, leave_plan, lock_job, require_planned_work
from jobs.queries import confirmed_plan


def new_job(*, job: Job, by: AbstractBaseUser, at: datetime.datetime) -> Job:
    job.made_by, job.made_at = by, at
    job.save()
    return job


@transaction.atomic
def change_job(*, job: Job) -> Job:
    """Save what a form changed; the state stays as the plans made it."""
    state = lock_job(job).state
    require_planned_work(Job(name=job.name, state=state))
    job.state = state
    job.save()
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
