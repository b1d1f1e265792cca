import django_filters as filters
import django_tables2 as tables
from django.db.models import Q, QuerySet

from shopstock.calc.units import format_areal_weight
from shopstock.columns import LengthColumn, ShopTable, WidthColumn
from shopstock.models import Place, Reinforcement, Supplier
from shopstock.models.reinforcement import FIBRE_CHOICES, FORM_CHOICES
from shopstock.templatetags.swatch import swatch_html

SPARE = {"td": {"class": "spare"}}  # left out on a phone, where the list would grow too long


class ReinforcementTable(ShopTable):
    swatch = tables.Column(
        empty_values=(),
        orderable=False,
        exclude_from_export=True,
        verbose_name="picture",
        attrs={"td": {"class": "picture"}},
    )
    name = tables.LinkColumn("reinforcement", args=[tables.A("pk")])
    form = tables.Column(attrs=SPARE)
    fibre = tables.Column(attrs=SPARE)
    areal_weight_gsm = tables.Column(verbose_name="areal weight", attrs={"td": {"class": "number"}})
    width_mm = WidthColumn(verbose_name="width", attrs={"td": {"class": "number spare"}, "th": {"class": "number"}})
    on_racks_mm = LengthColumn(verbose_name="on the racks")
    free_on_racks_mm = LengthColumn(verbose_name="free")
    minimum_mm = LengthColumn(verbose_name="keep at least", visible=False)
    supplier = tables.Column(linkify=True, attrs=SPARE)

    class Meta:
        empty_text = "No fabric here yet. Add the first, or bring the stock in from a file."
        order_by = "name"

    def render_swatch(self, record: Reinforcement) -> str:
        return swatch_html(record)

    def render_fibre(self, value: str) -> str:
        return value.replace("-", "\u2011")

    def value_fibre(self, value: str) -> str:
        return value

    def render_on_racks_mm(self, value: int, column) -> str:
        return column.shown(value, self.units) if value else "none"

    def value_on_racks_mm(self, value: int) -> int:
        return value

    def render_free_on_racks_mm(self, value: int, column) -> str:
        return self.render_on_racks_mm(value, column)

    def value_free_on_racks_mm(self, value: int) -> int:
        return value

    def render_areal_weight_gsm(self, record: Reinforcement) -> str:
        return format_areal_weight(record.areal_weight_gsm, record.form, self.units)

    def value_areal_weight_gsm(self, value):
        return value


class ReinforcementFilter(filters.FilterSet):
    words = filters.CharFilter(method="with_words", label="Words")
    form = filters.ChoiceFilter(choices=FORM_CHOICES, empty_label="every form")
    fibre = filters.ChoiceFilter(choices=FIBRE_CHOICES, empty_label="every fibre")
    active = filters.ChoiceFilter(
        label="In use", choices=[("yes", "in use"), ("no", "no longer in use")], empty_label="all", method="by_use"
    )

    class Meta:
        model = Reinforcement
        fields: list[str] = []

    def with_words(self, rows: QuerySet, name: str, text: str) -> QuerySet:
        for word in text.split():
            rows = rows.filter(Q(name__icontains=word) | Q(supplier__name__icontains=word) | Q(notes__icontains=word))
        return rows

    def by_use(self, rows: QuerySet, name: str, value: str) -> QuerySet:
        return rows.filter(active=value == "yes")


class RollsOfReinforcement(ShopTable):
    code = tables.LinkColumn("roll", args=[tables.A("code")], verbose_name="roll")
    lot = tables.Column()
    width_mm = WidthColumn(verbose_name="width")
    length_mm = LengthColumn(verbose_name="on the roll")
    free_mm = LengthColumn(verbose_name="free", orderable=False)
    place = tables.Column()
    condition = tables.Column()

    class Meta:
        empty_text = "None on the racks."


class RollsInPlace(RollsOfReinforcement):
    reinforcement = tables.Column()

    class Meta:
        exclude = ["place"]
        sequence = ["code", "reinforcement", "..."]
        empty_text = "No roll lies here."


class ContainersInPlace(ShopTable):
    code = tables.LinkColumn("container", args=[tables.A("code")], verbose_name="container")
    chemical = tables.Column(verbose_name="product")
    batch = tables.Column()
    label_date = tables.DateColumn(format="Y-m-d", verbose_name="use by")


class SupplierTable(ShopTable):
    name = tables.LinkColumn("supplier", args=[tables.A("pk")])
    lead_time_days = tables.Column(verbose_name="lead time (days)", attrs={"td": {"class": "number"}})
    fabrics = tables.Column(verbose_name="fabrics in use", attrs={"td": {"class": "number"}})
    email = tables.EmailColumn()

    class Meta:
        empty_text = "No supplier yet. Add the first."
        order_by = "name"


class SupplierFilter(filters.FilterSet):
    words = filters.CharFilter(field_name="name", lookup_expr="icontains", label="Words")

    class Meta:
        model = Supplier
        fields: list[str] = []


class PlaceTable(ShopTable):
    name = tables.LinkColumn("place", args=[tables.A("pk")])
    kind = tables.Column()
    rolls_there = tables.Column(verbose_name="rolls and offcuts", attrs={"td": {"class": "number"}})
    containers_there = tables.Column(verbose_name="containers", attrs={"td": {"class": "number"}})
    notes = tables.Column()

    class Meta:
        empty_text = "No place yet. Add the racks, shelves and cabinets, as they are marked."
        order_by = "name"


class PlaceFilter(filters.FilterSet):
    words = filters.CharFilter(field_name="name", lookup_expr="icontains", label="Words")
    kind = filters.ChoiceFilter(choices=Place.Kind.choices, empty_label="every kind")

    class Meta:
        model = Place
        fields: list[str] = []
