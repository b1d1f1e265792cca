import datetime

import django_filters
from django.db.models import Q, QuerySet

from shopstock.models import Chemical, Container
from shopstock.models.roll import STILL_OPEN


class ContainerFilter(django_filters.FilterSet):
    """Containers by product kind, words, date and whether they are still in the store; needs `last_day`."""

    words = django_filters.CharFilter(label="Words or code", method="with_words")
    kind = django_filters.ChoiceFilter(
        label="Kind", field_name="chemical__kind", choices=Chemical.Kind.choices, empty_label="all kinds"
    )
    date = django_filters.ChoiceFilter(
        label="Date",
        method="by_date",
        empty_label="any date",
        choices=[("past", "past its date"), ("near", "near its date"), ("good", "in date")],
    )
    store = django_filters.ChoiceFilter(
        label="Where",
        method="by_store",
        empty_label=None,
        choices=[("in", "in the store"), ("gone", "used up or disposed of"), ("all", "both")],
    )

    class Meta:
        model = Container
        fields = []

    def __init__(self, data, queryset, *, on: datetime.date, warning_days: int):
        data = data.copy()
        data.setdefault("store", "in")
        super().__init__(data, queryset=queryset)
        self.on = on
        self.window_end = on + datetime.timedelta(days=warning_days)

    def with_words(self, rows: QuerySet, name: str, value: str) -> QuerySet:
        for word in value.split():
            rows = rows.filter(
                Q(code__icontains=word)
                | Q(chemical__name__icontains=word)
                | Q(batch__icontains=word)
                | Q(place__name__icontains=word)
            )
        return rows

    def by_date(self, rows: QuerySet, name: str, value: str) -> QuerySet:
        if value == "past":
            return rows.filter(last_day__lt=self.on)
        if value == "near":
            return rows.filter(last_day__range=(self.on, self.window_end))
        return rows.filter(last_day__gte=self.on)

    def by_store(self, rows: QuerySet, name: str, value: str) -> QuerySet:
        if value == "all":
            return rows
        return rows.filter(closed_on=STILL_OPEN) if value == "in" else rows.exclude(closed_on=STILL_OPEN)
