from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from shopstock.stock_file.writers import stock_lines, write_csv, write_xlsx

WRITERS = {".csv": write_csv, ".xlsx": write_xlsx}


class Command(BaseCommand):
    help = "Write everything on the racks to a CSV or XLSX file that import_stock reads. Exits 2 when it cannot."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="ends in .csv or .xlsx")
        parser.add_argument("--force", action="store_true", help="write over a file that is there")

    def handle(self, *, file: Path, force: bool, **options):
        writer = WRITERS.get(file.suffix.lower())
        if writer is None:
            raise CommandError(f"{file.name} must end in .csv or .xlsx.", returncode=2)
        if file.exists() and not force:
            raise CommandError(f"{file.name} is there already. Choose another name, or add --force.", returncode=2)
        lines = list(stock_lines())
        try:
            file.write_bytes(writer(lines))
        except OSError as error:
            raise CommandError(f"{file} cannot be written: {error.strerror}.", returncode=2) from None
        self.stdout.write(f"Wrote {len(lines)} rolls and offcuts to {file.name}.")
