"""What must be bought, for whom and until when it can be ordered: reads that Today and the ordering page share."""

import datetime

from .models import Shop
from .to_order_cloth import cloth_lines
from .to_order_line import OrderLine
from .to_order_resin import resin_lines
from .wanted import Wanted


def order_lines(on: datetime.date, wanted: Wanted | None = None) -> list[OrderLine]:
    """Everything to buy, the most pressing first; below the minimum without a date counts as today."""
    shop, wanted = Shop.current(), wanted or Wanted.now(on)
    lines = [*cloth_lines(wanted, on, shop), *resin_lines(wanted, on, shop)]
    return sorted(lines, key=lambda line: (_last_day(line, on), line.item))


def _last_day(line: OrderLine, on: datetime.date) -> datetime.date:
    if line.order_by:
        return line.order_by.day
    return line.needed_on or on
