"""Forms in our own templates, `templates/forms/`."""

from django.forms.renderers import TemplatesSetting


class FormRenderer(TemplatesSetting):
    """Render every form and field by the site's one template for it."""

    form_template_name = "forms/form.html"
    field_template_name = "forms/field.html"
