import datetime

from django.db import transaction

from shopstock import ledger
from shopstock.models import Chemical, Container, ContainerMovement, DataSheet, DoseBand, PotLife


@transaction.atomic
def receive_alike(*, count: int, key: str, **wish) -> list[Container]:
    """Log containers of one batch, all or none; each gets its own code and its own key."""
    wish["supplier"] = wish.get("supplier") or wish["chemical"].supplier
    return [ledger.receive_container(key=f"{key}:{number}", **wish) for number in range(count)]


@transaction.atomic
def weigh(
    *, container: Container, gross: int, tare: int, by, at: datetime.datetime, key: str, reason: str
) -> ContainerMovement:
    """Set the ledger to gross less empty weight (g), and keep the empty weight for the next time."""
    line = ledger.recount_container(container=container, mass_g=gross - tare, by=by, at=at, key=key, reason=reason)
    Container.objects.filter(pk=container.pk).update(tare_g=tare)
    return line


@transaction.atomic
def save_chemical(form) -> Chemical:
    """Save a product with the lines of its data sheet; the lines it had are replaced."""
    chemical = form.save()
    chemical.dose_bands.all().delete()
    chemical.pot_lives.all().delete()
    DoseBand.objects.bulk_create(
        DoseBand(
            chemical=chemical,
            from_c=band.from_c,
            below_c=band.below_c,
            min_percent=band.least_percent,
            max_percent=band.most_percent,
        )
        for band in form.cleaned_data["doses"]
    )
    PotLife.objects.bulk_create(
        PotLife(chemical=chemical, temperature_c=line.temperature_c, percent=line.percent, minutes=line.minutes)
        for line in form.cleaned_data["pot_lives"]
    )
    return chemical


def add_data_sheet(*, chemical: Chemical, kind: str, title: str, file: bytes, by, at: datetime.datetime) -> DataSheet:
    wish = {"kind": kind, "title": title, "content": file, "size": len(file)}
    return DataSheet.objects.create(chemical=chemical, added_by=by, added_at=at, **wish)
