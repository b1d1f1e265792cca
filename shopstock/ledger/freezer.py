"""Prepreg that leaves the freezer and comes back: its hours out are counted from these lines."""

import datetime
from decimal import Decimal

from django.contrib.auth.models import AbstractBaseUser
from django.utils import timezone

from shopstock.calc.out_time import Spell, inherited, out_time, with_own
from shopstock.models import Movement, OutSpell, Place, Roll

from .errors import LedgerError, NotUsable
from .lines import write_line
from .locking import earlier, lock_roll
from .once import one_transaction
from .standing import require_may_stand


class FreezerError(LedgerError):
    """A wish about the freezer that does not go with where the roll is."""


def spells_of(roll: Roll) -> list[Spell]:
    """Every spell out of the freezer that counts for a roll, those of the roll it was cut from up to then included."""
    own = [Spell(spell.out_at, spell.back_at) for spell in roll.out_spells.all()]
    if roll.parent_id is None:
        return own
    born = roll.movements.order_by("recorded_at", "pk").values_list("recorded_at", flat=True).first()
    return own if born is None else with_own(inherited(spells_of(roll.parent), born), own, born)


@one_transaction
def take_out_of_freezer(
    *, roll: Roll, by: AbstractBaseUser, at: datetime.datetime, key: str, place: Place | None = None
) -> Movement:
    """Start its time out; the thaw in the sealed bag counts."""
    roll = _locked(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.MOVE)
    if line is not None:
        return line
    if any(spell.back is None for spell in spells_of(roll)):
        raise FreezerError(f"{roll} is out of the freezer already. Put it back when it is not being cut.")
    if place is not None:
        require_may_stand(roll, place)
    OutSpell.objects.create(roll=roll, out_at=at, out_by=by)
    roll.place = place or roll.place
    return write_line(roll, Movement.Kind.MOVE, 0, by=by, at=at, key=key, reason="out of the freezer")


@one_transaction
def put_back_in_freezer(
    *,
    roll: Roll,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    place: Place | None = None,
    temperature_c: Decimal | None = None,
) -> Movement:
    """End the spell; what it used up stays used up."""
    roll = _locked(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.MOVE)
    if line is not None:
        return line
    lasting = [spell for spell in spells_of(roll) if spell.back is None]
    if not lasting:
        raise FreezerError(f"{roll} is in the freezer already. Note first when it is taken out.")
    _close(roll, at=at, by=by, temperature_c=temperature_c)
    roll.place = place or roll.place
    hours = (at - max(spell.out for spell in lasting)).total_seconds() / 3600
    return write_line(
        roll, Movement.Kind.MOVE, 0, by=by, at=at, key=key, reason=f"back in the freezer after {hours:.1f} h"
    )


def note_move(roll: Roll, place: Place, *, by: AbstractBaseUser, at: datetime.datetime) -> str:
    """Whatever way prepreg is put somewhere, its time out runs outside a freezer and stops inside one; says which."""
    if not roll.reinforcement.is_prepreg:
        return ""
    is_out = any(spell.back is None for spell in spells_of(roll))
    if place.kind == Place.Kind.FREEZER and is_out:
        _close(roll, at=at, by=by, temperature_c=None)
        return "back in the freezer"
    if place.kind != Place.Kind.FREEZER and not is_out:
        OutSpell.objects.create(roll=roll, out_at=at, out_by=by)
        return "out of the freezer"
    return ""


def _close(roll: Roll, **back) -> None:
    """An offcut cut from a roll that lay out has no spell of its own yet: it gets one from its cutting on."""
    spell = roll.out_spells.filter(back_at__isnull=True).first()
    if spell is None:
        first = roll.movements.order_by("recorded_at", "pk").first()
        spell = OutSpell(roll=roll, out_at=first.recorded_at, out_by=first.by)
    spell.back_at, spell.back_by, spell.temperature_c = back["at"], back["by"], back["temperature_c"]
    spell.save()


def _locked(roll: Roll) -> Roll:
    roll = lock_roll(roll)
    if not roll.is_open:
        raise FreezerError(f"{roll} is used up.")
    if not roll.reinforcement.is_prepreg:
        raise FreezerError(f"{roll.reinforcement} is not noted as prepreg: give it its hours out of the freezer first.")
    return roll


@one_transaction
def set_use_by(*, roll: Roll, use_by: datetime.date) -> Roll:
    """Note the date on a roll's label, of prepreg or of cloth whose size or coating ages."""
    roll = lock_roll(roll)
    if not roll.is_open:
        raise FreezerError(f"{roll} is used up.")
    if use_by < roll.received_on:
        raise FreezerError(f"It came in on {roll.received_on}, after that date. If both are right, send it back.")
    roll.use_by = use_by
    roll.save(update_fields=["use_by"])
    return roll


def use_by_of(roll: Roll) -> datetime.date | None:
    """The date on its own label, or on that of the roll it was cut from."""
    if roll.use_by is not None or roll.parent_id is None:
        return roll.use_by
    return use_by_of(roll.parent)


def require_fresh(roll: Roll, at: datetime.datetime) -> None:
    """A roll past its label, or prepreg out of time, is not cut for a part."""
    use_by, then = use_by_of(roll), "Take another, and show this one to the owner."
    if use_by is not None and use_by < timezone.localdate(at):
        raise NotUsable(f"{roll} went past its date on {use_by}. {then}")
    if not roll.reinforcement.is_prepreg:
        return
    if out_time(spells_of(roll), roll.reinforcement.out_life_h, at).left_h <= 0:
        raise NotUsable(f"{roll} has used up its time out of the freezer. {then}")
