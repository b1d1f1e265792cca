import django_filters
import django_tables2 as tables
from django.db.models import QuerySet

from jobs.models import Job
from shopstock.columns import ShopTable


class JobTable(ShopTable):
    name = tables.Column(linkify=True, verbose_name="job")
    cut_on = tables.DateColumn(format="Y-m-d", verbose_name="to be cut on")
    state = tables.Column()
    part_count = tables.Column(verbose_name="parts", attrs={"td": {"class": "number"}, "th": {"class": "number"}})
    resin = tables.Column(verbose_name="resin", default="not chosen", accessor="resin__name")

    def render_state(self, value: str, record: Job) -> str:
        words = [f"quoted, {record.chance_percent} %" if record.is_quoted and record.is_planned_work else value]
        words += ["non-structural"] if record.is_non_structural else []
        return ", ".join([*words, "waits for the designer"] if record.waits else words)

    class Meta:
        empty_text = "No jobs here. Add one, or choose another state."


class JobFilter(django_filters.FilterSet):
    words = django_filters.CharFilter(field_name="name", lookup_expr="icontains", label="Name has")
    state = django_filters.ChoiceFilter(
        choices=[("work", "planned work"), ("quoted", "quoted, may come"), *Job.State.choices],
        method="by_state",
        label="State",
        empty_label="all",
    )

    def __init__(self, data=None, *args, **kwargs):
        data = {} if data is None else data.dict()
        super().__init__({"state": "work"} | data, *args, **kwargs)

    def by_state(self, rows: QuerySet, name: str, value: str) -> QuerySet:
        wanted = [Job.State.DRAFT, Job.State.READY] if value in ("work", "quoted") else [value]
        found = rows.filter(state__in=wanted)
        return found.filter(chance_percent__isnull=False) if value == "quoted" else found
