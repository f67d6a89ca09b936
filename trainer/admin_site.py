"""The admin site: only for staff who sign in with a second step."""

from allauth.account.decorators import secure_admin_login
from allauth.mfa.utils import is_mfa_enabled
from django.contrib import messages
from django.contrib.admin import AdminSite
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


class FrozenOncePublished:
    """For admin pages of revisions and their parts: what is published is read only."""

    def has_change_permission(self, request, obj=None):
        revision = getattr(obj, "revision", obj)
        frozen = revision is not None and revision.state != "draft"
        return not frozen and super().has_change_permission(request, obj)

    def has_delete_permission(self, request, obj=None):
        return self.has_change_permission(
            request, obj
        ) and super().has_delete_permission(request, obj)


class Site(AdminSite):
    site_title = site_header = gettext_lazy("Placing Room administration")

    def has_permission(self, request):
        return super().has_permission(request) and is_mfa_enabled(request.user)

    def login(self, request, extra_context=None):
        """Staff without a second step are sent to set one up; others are refused."""
        if super().has_permission(request) and not is_mfa_enabled(request.user):
            messages.warning(
                request,
                _("The administration needs a second step when you sign in. Add one."),
            )
            return redirect("mfa_index")
        return secure_admin_login(super().login)(request, extra_context)
