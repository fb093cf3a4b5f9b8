"""The mail a site sent and its readers' wishes about it."""

from django.contrib import messages
from django.core.signing import BadSignature, Signer
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.queries.roles import Standing
from orchard.queries.sites import find_site_id
from scheduling.queries.mail import load_mail_page
from scheduling.services.outbox import (
    STOP_SALT,
    MailUnknown,
    is_stopped,
    resume_reminders,
    stop_reminders,
    try_again,
)
from scheduling.views.access import site_page


@site_page("scheduling.see_mail")
@require_safe
def list_mail(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show what was sent, to whom, which version, what failed, and what calendars answered."""
    only = request.GET.get("only", "")
    page = load_mail_page(standing.site_id, only=only)
    return render(request, "scheduling/mail/mail.html", {"page": page, "only": only})


@site_page("scheduling.see_mail")
@require_POST
def try_mail_again(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Let a mail that failed be tried at the next sending."""
    asked = request.POST.get("mail", "")
    try:
        try_again(message_id=int(asked) if asked.isdecimal() else 0, site_id=standing.site_id)
    except MailUnknown as error:
        messages.warning(request, error.message)
    else:
        messages.success(request, "The mail is tried again at the next sending.")
    return redirect("mail", slug=standing.slug)


# One press in a mail program posts here without a page before it (RFC 8058 section 3.2), so no
# token can come along; the signature in the address stands for the reader.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def stop_mail(request: HttpRequest, slug: str, signed: str) -> HttpResponse:
    """Stop the reminders of a site to the address signed, or send them again; no sign-in."""
    site_id = find_site_id(slug)
    try:
        address = Signer(salt=STOP_SALT).unsign(signed)
    except BadSignature:
        raise Http404 from None
    if site_id is None:
        raise Http404
    if request.method == "POST":
        if request.POST.get("again"):
            resume_reminders(site_id=site_id, address=address)
        else:
            stop_reminders(site_id=site_id, address=address, at=timezone.now())
    context = {"address": address, "stopped": is_stopped(site_id, address)}
    return render(request, "scheduling/mail/stop.html", context)
