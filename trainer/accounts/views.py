"""The person's own pages; signing in and out is the library's."""

from allauth.account.decorators import reauthentication_required
from allauth.decorators import rate_limit
from allauth.mfa.utils import is_mfa_enabled
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from trainer.accounts import erasing
from trainer.accounts.events import record
from trainer.accounts.forms import DeleteForm, ProfileForm, ThemeForm

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


@require_http_methods(["GET", "POST"])
@rate_limit(action="reauthenticate")
def delete(request):
    """Delete the account: asks for the password, or for the second step where there is no password."""
    if request.user.has_usable_password():
        return delete_page(request)
    return reauthentication_required(delete_page)(request)


def delete_page(request):
    """What stands in the way, what goes and what stays; then it is done."""
    user = request.user
    form = DeleteForm(request.POST if request.method == "POST" else None, user=user)
    in_the_way = erasing.obstacles(user)
    if form.is_bound and form.is_valid() and not in_the_way:
        try:
            erasing.erase(user, now=timezone.now())
        except erasing.InTheWay as why:
            in_the_way = why.args
        else:
            record("account deleted", request, user)
            request.session.flush()
            return redirect("accounts:deleted")
    context = {
        "form": form,
        "obstacles": in_the_way,
        "goes": erasing.goes(user),
        "stays": erasing.stays(user),
    }
    status = 422 if form.is_bound else 200
    return render(request, "accounts/delete.html", context, status=status)


@login_not_required
@require_safe
def deleted(request):
    """What is said last."""
    return render(request, "accounts/deleted.html")


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
