"""Sending from the build page: what was shown goes, and whatever differs from it is shown first."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import get_language, gettext

from configurator.builds import confirming, sending, service
from configurator.builds.selection import Selection
from configurator.catalogue.workshop import texts_now
from configurator.visitors.limiting import wait_for

from .bounded import recipient_sentence, sends_sentence, too_many
from .confirmed import is_confirmed, must_confirm
from .page import Page, based_on, save, show
from .posted import choices_digest
from .sent import onwards, remember_sent
from .told import told


def goes_as_shown(page: Page) -> bool:
    """Whether the post chooses what is stored and was shown, and nothing is missing: it need not be read."""
    posted = page.request.POST
    return (
        not page.spec.is_copy
        and "change" not in posted
        and posted.get("catalogue_version") == str(page.catalogue.version)
        and posted.get("based_on", "") in ("", based_on(page.spec))
        and page.spec.posted_digest == choices_digest(posted)
        and service.can_be_sent(page.spec, page.catalogue)
        and bool(page.contact.is_valid() & page.consent.is_valid())
    )


def send(page: Page, selection: Selection) -> HttpResponse:
    """Send what was shown; whatever differs from it is shown first and asked again."""
    seen = page.request.POST.get("catalogue_version") == str(page.catalogue.version)
    unchanged = selection == page.stored
    valid = page.contact.is_valid() & page.consent.is_valid()
    if seen and unchanged and valid and service.can_be_sent(page.spec, page.catalogue):
        return send_as_shown(page)
    evaluation = (
        save(page, selection, as_posted=True) if seen or not unchanged else service.look_at(page.spec)
    )
    page.form.show_problems(evaluation.problems)
    if not unchanged:
        page.changes = [gettext("You changed something since the last price. This is the new one.")]
    if not valid or not unchanged or not evaluation.sendable:
        page.status = 422
        return show(page, evaluation)
    return send_as_shown(page)


def send_as_shown(page: Page) -> HttpResponse:
    """Send a build that can be sent, unless too much came from here or the address is to be confirmed."""
    contact = page.contact.contact()
    if refusal := _too_often(page.request, contact.email):
        page.refusal, page.status = refusal, 429
        return show(page, service.look_at(page.spec))
    if must_confirm(page.request, contact.email):
        return _ask_whose_address(page, contact)
    return _freeze(page, contact)


def _too_often(request: HttpRequest, email: str) -> str:
    """Return why this is not sent now: too much came from here, or went to that address."""
    if wait := too_many(request, "sends"):
        return sends_sentence(wait)
    if not is_confirmed(request, email) and (wait := wait_for("recipient", email.strip().casefold())):
        return recipient_sentence(wait)
    return ""


def _terms(page: Page) -> dict[str, str]:
    workshop = page.catalogue.workshop
    return {**texts_now(workshop), "terms_text": told(workshop.terms) if workshop else ""}


def _ask_whose_address(page: Page, contact: sending.Contact) -> HttpResponse:
    service.keep_language(spec_id=page.spec.pk, language=get_language() or page.spec.language)
    confirming.ask(spec_id=page.spec.pk, contact=contact, **_terms(page))
    return onwards(page.request, reverse("configurator:waiting", args=[page.spec.token]))


def _freeze(page: Page, contact: sending.Contact) -> HttpResponse:
    try:
        sent = sending.send_build(
            spec_id=page.spec.pk,
            contact=contact,
            language=get_language() or "",
            catalogue=page.catalogue,
            **_terms(page),
        )
    except sending.StaleBuildError as stale:
        page.changes, page.status = stale.changes, 409
        return show(page, stale.evaluation)
    except sending.NotSendableError as refused:
        page.status = 422
        return show(page, refused.evaluation)
    remember_sent(page.request, page.spec, sent.next_url)
    return onwards(page.request, sent.next_url)
