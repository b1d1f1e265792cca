import sys

from django.core.management.base import BaseCommand

from shopstock.ledger_check import differences
from shopstock.models import Container, Roll
from shopstock.up_to_date import require_up_to_date


class Command(BaseCommand):
    help = "Prove that every roll and container agrees with its ledger; exits 1 at the first difference."

    def add_arguments(self, parser):
        parser.add_argument("--all", action="store_true", help="list every difference instead of stopping at the first")

    def handle(self, *, all: bool, **options):
        require_up_to_date()
        found = 0
        for difference in differences():
            self.stderr.write(difference)
            found += 1
            if not all:
                break
        if found:
            sys.exit(1)
        self.stdout.write(
            f"{Roll.objects.count()} rolls and {Container.objects.count()} containers agree with the ledger."
        )
