"""The person's own pages; signing in and out is the library's."""

from allauth.mfa.utils import is_mfa_enabled
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from trainer.accounts.forms import ProfileForm, ThemeForm

THEME_COOKIE = "theme"


@require_http_methods(["GET", "POST"])
def profile(request):
    """The person's name and look, and the ways to everything about signing in."""
    form = ProfileForm(request.POST or None, instance=request.user)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("Saved."))
        return redirect("accounts:profile")
    context = {"form": form, "second_step": is_mfa_enabled(request.user)}
    status = 422 if form.is_bound else 200
    return render(request, "accounts/profile.html", context, status=status)


@login_not_required
@require_POST
def theme(request):
    """Keep the look: in the person's account, in a cookie for everybody else."""
    form = ThemeForm(request.POST)
    chosen = form.cleaned_data["theme"] if form.is_valid() else ""
    back = request.POST.get("next", "")
    if not url_has_allowed_host_and_scheme(
        back, {request.get_host()}, require_https=request.is_secure()
    ):
        back = "/"
    response = redirect(back)
    if request.user.is_authenticated:
        request.user.theme = chosen
        request.user.save(update_fields=["theme"])
    response.set_cookie(
        THEME_COOKIE,
        chosen,
        max_age=365 * 24 * 3600,
        secure=request.is_secure(),
        httponly=True,
        samesite="Lax",
    )
    return response
