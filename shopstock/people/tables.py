import django_tables2 as tables
from django.utils.html import format_html

from shopstock.columns import ShopTable
from shopstock.roles import role_of


class PersonTable(ShopTable):
    username = tables.LinkColumn("person", args=[tables.A("pk")], verbose_name="name")
    first_name = tables.Column(verbose_name="full name")
    role = tables.Column(empty_values=(), orderable=False)
    is_active = tables.BooleanColumn(verbose_name="may sign in", yesno="yes,no")
    last_login = tables.DateTimeColumn(format="Y-m-d H:i", verbose_name="last signed in")

    class Meta:
        empty_text = "Nobody yet."

    def render_role(self, record) -> str:
        return role_of(record) or "none"

    def render_is_active(self, value: bool) -> str:
        return "yes" if value else format_html("<strong>no</strong>")
