"""What the label printers of this shop are, and what was printed on them: one file a table."""

from .label_print import LabelPrint
from .label_wish import LabelWish
from .print_medium import PrintMedium
from .print_run import PrintRun

__all__ = ["LabelPrint", "LabelWish", "PrintMedium", "PrintRun"]
