"""A list page: filter, table, pages, and the same rows as CSV or XLSX."""

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django_tables2 import RequestConfig
from django_tables2.export import TableExport

from shopstock.models import Shop

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def list_page(
    request: HttpRequest,
    *,
    table_class,
    rows: QuerySet,
    template: str,
    filter_class=None,
    file_name: str = "table",
    **context,
) -> HttpResponse:
    """Render `template` with `table` and `filter`; `?_export=csv` or `xlsx` gives every filtered row as a file."""
    row_filter = filter_class(request.GET, queryset=rows) if filter_class else None
    found = row_filter.qs if row_filter else rows
    table = table_class(KeysFirst(found) if isinstance(found, QuerySet) else found, units=Shop.current().units)
    export_format = request.GET.get("_export")
    RequestConfig(request, paginate=False if export_format else {"per_page": 25, "silent": True}).configure(table)
    if export_format in ("csv", "xlsx"):
        return SafeExport(export_format, table).response(f"{file_name}.{export_format}")
    return render(request, template, {"table": table, "filter": row_filter, **context})


class KeysFirst:
    """Rows of a list, of which a page far down is sorted by its keys alone and only then read in full."""

    FAR_DOWN = 1000

    def __init__(self, rows: QuerySet):
        self.rows = rows

    def __getattr__(self, name: str):
        return getattr(self.rows, name)

    def __iter__(self):
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def order_by(self, *names: str) -> "KeysFirst":
        return KeysFirst(self.rows.order_by(*names))

    def __getitem__(self, wanted):
        if not isinstance(wanted, slice) or (wanted.start or 0) < self.FAR_DOWN or not self._has_keys():
            return self.rows[wanted]
        keys = list(self.rows.values_list("pk", flat=True)[wanted])
        by_key = {row.pk: row for row in self.rows.filter(pk__in=keys)}
        return [by_key[key] for key in keys if key in by_key]

    def _has_keys(self) -> bool:
        """Whole rows of one table; not values, and not several tables put together."""
        return not self.rows.query.combinator and self.rows._fields is None


class SafeExport(TableExport):
    """An export in which no cell can be taken for a formula by a spreadsheet."""

    def table_to_dataset(self, table, exclude_columns, dataset_kwargs=None):
        dataset = super().table_to_dataset(table, exclude_columns, dataset_kwargs)
        for number in range(dataset.height):
            row = dataset[number]
            dataset[number] = [harmless(cell) for cell in row]
        return dataset


def harmless(cell):
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA_STARTS) else cell
