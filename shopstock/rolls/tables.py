import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join

from shopstock.calc.units import format_areal_weight
from shopstock.columns import LengthColumn, ShopTable, WidthColumn
from shopstock.models import Movement, Roll
from shopstock.models.roll import STILL_OPEN


class UnitsInExport(ShopTable):
    """A table whose exported file names the stored unit in the heading, as its cells are plain numbers."""

    def as_values(self, exclude_columns=None):
        rows = super().as_values(exclude_columns)
        units = [
            getattr(column.column, "stored_unit", "")
            for column in self.columns.iterall()
            if not (column.column.exclude_from_export or column.name in (exclude_columns or ()))
        ]
        yield [f"{heading} ({unit})" if unit else heading for heading, unit in zip(next(rows), units, strict=True)]
        yield from rows


class RollLengthColumn(LengthColumn):
    stored_unit = "mm"


class RollWidthColumn(WidthColumn):
    stored_unit = "mm"


class ArealWeightColumn(tables.Column):
    stored_unit = "g/m²"

    def render(self, value, record: Roll, table: ShopTable) -> str:
        both = format_areal_weight(value, record.reinforcement.form, table.units).split(" · ")
        halves = format_html_join(" · ", '<span class="unbroken">{}</span>', ((half,) for half in both))
        return format_html("<span>{}</span>", halves)

    def value(self, value):
        return value


class RollTable(UnitsInExport):
    code = tables.LinkColumn("roll", args=[tables.A("code")], attrs={"a": {"class": "code"}})
    kind = tables.Column()
    reinforcement = tables.Column(accessor="reinforcement__name", verbose_name="Reinforcement")
    areal_weight = ArealWeightColumn(accessor="reinforcement__areal_weight_gsm", verbose_name="Areal weight")
    width_mm = RollWidthColumn(verbose_name="Width")
    length_mm = RollLengthColumn(verbose_name="On the roll")
    free_length_mm = RollLengthColumn(verbose_name="Free")
    lot = tables.Column()
    place = tables.Column(accessor="place__name", verbose_name="Place")
    condition = tables.Column()

    class Meta:
        empty_text = "No roll like that. Take a filter away, or receive one."
        order_by = ("reinforcement", "-length_mm")

    def render_kind(self, value: str, record: Roll) -> str:
        return "" if record.kind == Roll.Kind.ROLL else value

    def value_kind(self, record: Roll) -> str:
        return record.kind

    def render_condition(self, value: str, record: Roll) -> str:
        if record.closed_on != STILL_OPEN:
            return "used up"
        if record.condition == Roll.Condition.QUARANTINED:
            return format_html('<span><span class="tag bad">{}</span> {}</span>', value, record.condition_reason)
        return value

    def value_condition(self, record: Roll) -> str:
        return "used up" if record.closed_on != STILL_OPEN else record.condition


class SignedLengthColumn(RollLengthColumn):
    """A change of length: with its sign, and a dash where nothing was taken or added."""

    @staticmethod
    def shown(length_mm: int, system: str) -> str:
        if length_mm == 0:
            return "–"
        return f"{'+' if length_mm > 0 else '−'}{LengthColumn.shown(abs(length_mm), system)}"


class LedgerTable(UnitsInExport):
    happened_at = tables.DateTimeColumn(format="Y-m-d H:i", verbose_name="When", attrs={"td": {"class": "unbroken"}})
    by = tables.Column(verbose_name="Who")
    kind = tables.Column(verbose_name="What")
    delta_mm = SignedLengthColumn(verbose_name="Change")
    balance_after_mm = RollLengthColumn(verbose_name="Left")
    reason = tables.Column(empty_values=())

    class Meta:
        empty_text = "Nothing yet."
        orderable = False

    def render_reason(self, record: Movement) -> str:
        taken_back = getattr(record, "corrected_by", None)
        if taken_back:
            return f"{record.reason} (taken back {taken_back.recorded_at:%Y-%m-%d})".strip()
        return record.reason


class LedgerTableForOwner(LedgerTable):
    """The same lines, with a way to take a wrong one back."""

    change = tables.Column(
        verbose_name="Wrong?",
        empty_values=(),
        exclude_from_export=True,
        attrs={"td": {"class": "unbroken"}},
    )

    class Meta(LedgerTable.Meta):
        pass

    def render_change(self, record: Movement) -> str:
        if not record.delta_mm or record.kind == Movement.Kind.CORRECTION or getattr(record, "corrected_by", None):
            return ""
        return format_html(
            '<a href="{}">Take back<span class="hidden"> the line of {}</span></a>',
            reverse("roll-take-back", args=[record.roll.code, record.pk]),
            f"{timezone.localtime(record.happened_at):%Y-%m-%d %H:%M}",
        )
