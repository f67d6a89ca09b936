"""How every form of the site is rendered."""

from django.forms.renderers import TemplatesSetting


class Renderer(TemplatesSetting):
    """Fields with label, hint, errors and control linked (components/field.html)."""

    field_template_name = "components/field.html"
