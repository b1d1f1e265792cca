from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.db import transaction

from shopstock.roles import OWNER

User = get_user_model()


class LastOwner(Exception):
    """Somebody must be left who can do everything."""


@transaction.atomic
def new_person(*, name: str, full_name: str = "", role: str, password: str):
    person = User.objects.create_user(username=name, first_name=full_name, password=password)
    person.groups.set([Group.objects.get(name=role)])
    return person


@transaction.atomic
def change_person(*, person, full_name: str, role: str, is_active: bool, password: str = ""):
    """Give another role or password, or take the sign-in away; what the person did stays under their name."""
    other_owners = User.objects.filter(groups__name=OWNER, is_active=True).exclude(pk=person.pk)
    if (role != OWNER or not is_active) and not other_owners.exists():
        raise LastOwner("This is the only owner who can sign in. Make another person owner first.")
    person.first_name = full_name
    person.is_active = is_active
    if password:
        person.set_password(password)
    person.save()
    person.groups.set([Group.objects.get(name=role)])
    return person
