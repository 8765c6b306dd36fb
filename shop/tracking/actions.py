"""What a customer can do by their private link; each is one transaction, and doing it twice does it once."""

from __future__ import annotations

import hashlib
import hmac
import secrets

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.catalogue import workshop as workshops
from configurator.outbox.service import handles, promise
from shop.jobs import agreement
from shop.jobs.errors import NotAllowedError, StaleError, WrongStateError
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job
from shop.jobs.roles import THE_CUSTOMER, THE_SYSTEM
from shop.jobs.service import cancel, locked, promise_mail, record, renew_link
from shop.jobs.states import State

from .models import LinkRequest
from .signals import links_asked

LINKS_AN_ADDRESS, LINKS_A_SENDER = 3, 20
JOBS_A_REQUEST = 5


@transaction.atomic
def accept(*, job_id: int, revision_id: int) -> bool:
    """Say yes to one exact revision, and keep what exactly was said yes to."""
    done = agreement.agree_as_customer(job_id=job_id, revision_id=revision_id)
    if done:
        job = Job.objects.select_related("revision").get(pk=job_id)
        revision = job.revision
        price = evaluation_of(revision).price
        record(
            job,
            THE_CUSTOMER,
            "tracking.consent_given",
            revision=revision.number,
            total=str(price.total) if price else "",
            currency=price.currency if price else "",
            terms_version=revision.terms_version,
            words=_("I agree to this version at this price"),
        )
    return done


@transaction.atomic
def answer(*, job_id: int, text: str, asked: int | None = None) -> bool:
    """Answer what was asked, without agreeing; pressed twice it is one answer.

    ``asked`` is the entry of the history that the page showed as the question: an answer to an older one is
    none to what was asked since. Raises WrongStateError where nobody waits, so that no words are lost.
    """
    job = locked(job_id)
    question = job.history.filter(to_state=State.WAITING).last()
    if asked and question and job.state == State.WAITING and question.pk != asked:
        raise StaleError(
            _("We have asked you something else since you opened this page. Please look at that first.")
        )
    try:
        if agreement.answer_as_customer(job_id=job_id, answer=text):
            return True
    except (WrongStateError, NotAllowedError) as error:
        raise WrongStateError(_("We do not wait for an answer any more.")) from error
    taken = job.history.filter(to_state=State.IN_REVIEW).last()
    if taken is None or (taken.who, taken.why.strip()) != (THE_CUSTOMER.name, text.strip()):
        raise WrongStateError(_("We do not wait for an answer any more."))
    return False


def call_off(*, job_id: int, why: str) -> bool:
    """Call the job off before work starts; without a reason where the terms ask for none."""
    try:
        return cancel(job_id=job_id, by=THE_CUSTOMER, why=why, needs_no_reason=needs_no_reason())
    except (WrongStateError, NotAllowedError) as error:
        raise WrongStateError(
            _("The job can no longer be called off here. Please call us instead.")
        ) from error


def needs_no_reason() -> bool:
    """Whether the workshop's terms let customers call a job off without saying why."""
    workshop = workshops.current()
    return workshop is not None and workshop.cancel_freely


def digest(value: str) -> str:
    """Return a keyed digest, so that the list of who asked holds no addresses."""
    return hmac.new(settings.SECRET_KEY.encode(), value.encode(), hashlib.sha256).hexdigest()


@transaction.atomic
def ask_for_link(*, email: str, sender: str) -> bool:
    """Promise the links of whatever jobs an address has; return whether the limits allowed it.

    The caller says the same thing for every address, known or not: the limits count what was asked.
    Looking the address up is left to the worker, so time tells nothing either.
    """
    now = timezone.now()
    hour = int(now.timestamp() // 3600)
    LinkRequest.objects.filter(hour__lt=hour).delete()
    address = digest(f"address:{email.strip().casefold()}")
    if not _slot(digest(f"sender:{sender}"), hour, LINKS_A_SENDER):
        return False
    if not _slot(address, hour, LINKS_AN_ADDRESS):
        return False
    key = f"job-links:{address[:32]}:{now.timestamp()}:{secrets.token_hex(4)}"
    promise(kind="job_links", key=key, payload={"email": email.strip()})
    return True


def _slot(owner: str, hour: int, limit: int) -> bool:
    """Take one of the slots of this hour; the unique key decides between two at the same moment."""
    taken = LinkRequest.objects.filter(digest=owner, hour=hour).count()
    for slot in range(taken, limit):
        _row, made = LinkRequest.objects.get_or_create(digest=owner, hour=hour, slot=slot)
        if made:
            return True
    return False


@handles("job_links")
def mail_links(payload: dict[str, str]) -> None:
    """Mail the links of the newest jobs of an address; an expired one is renewed first."""
    known = Job.objects.filter(revision__email__iexact=payload["email"])[:JOBS_A_REQUEST]
    for job in known:
        mail_link(job)
    links_asked.send(Job, email=payload["email"])


@transaction.atomic
def mail_link(job: Job) -> None:
    """Mail the link that works. A live one stays: nobody can cut a customer off by asking in their name."""
    if job.link_is_live:
        job = locked(job.pk)
        promise_mail(job, "new_link", record(job, THE_SYSTEM, "job.link_mailed").pk)
    else:
        renew_link(job_id=job.pk, by=THE_SYSTEM)
