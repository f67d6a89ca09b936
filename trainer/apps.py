from django.contrib.admin.apps import AdminConfig


class AdminSiteConfig(AdminConfig):
    """Django's administration with our site in place of its own."""

    default_site = "trainer.admin_site.Site"
