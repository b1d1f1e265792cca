from django.forms.renderers import DjangoTemplates


class ShopFormRenderer(DjangoTemplates):
    """Fields drawn our way: label, unit and help above, message beside the field."""

    field_template_name = "shopstock/field.html"
    form_template_name = "shopstock/form.html"
