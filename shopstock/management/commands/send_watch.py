from django.contrib.auth import get_user_model
from django.core.mail import send_mail
from django.core.management.base import BaseCommand
from django.utils import timezone

from shopstock.models import Shop
from shopstock.roles import role_of
from shopstock.watch_answers import watched
from shopstock.watch_feed import mail_of


class Command(BaseCommand):
    help = "Send each person with a role and an e-mail address what is on the storage watch. Run it every morning."

    def handle(self, **options):
        at, shop = timezone.localtime(), Shop.current()
        sent = sum(self._send(person, at, shop) for person in people())
        self.stdout.write(f"Sent to {sent} {'person' if sent == 1 else 'people'}.")

    def _send(self, person, at, shop: Shop) -> bool:
        mail = mail_of(watched(role_of(person), at.date(), at), at.date(), shop)
        if mail is None:
            return False
        subject, text = mail
        send_mail(subject, text, None, [person.email])
        return True


def people():
    return get_user_model().objects.filter(is_active=True, groups__isnull=False).exclude(email="").distinct()
