"""Who listens to whom: every signal of the shop and its receivers, in the order they are told.

Rooms below announce and ask, rooms above listen and answer. The order is that of the layers, from parts
up; money comes last, since it may move a job on at once and everyone should hear of the first move first.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db.models.signals import post_delete, post_save
from django.dispatch import Signal

from configurator.builds.signals import address_asked, spec_sent
from configurator.outbox.signals import given_up

from .customers import hooks as customers
from .documents import hooks as documents
from .documents import order_mail  # noqa: F401 - registers the keeper of orders' mail
from .jobs import answering, notices
from .jobs import signals as jobs
from .jobs.opening import when_spec_sent, where_followed
from .messages import hooks as messages
from .messages import news_hooks as news
from .messages import writing  # noqa: F401 - registers the keeper of promised mail
from .money import hooks as money
from .money import signals as money_signals
from .parts import hooks as parts
from .parts.fixtures import register_stock
from .parts.models import JobPart, PurchaseLine, Reservation, StockLevel
from .parts.shortages import when_changed
from .planning import hooks as planning
from .planning.signals import promise_broken
from .range import list_applying, list_back, list_reading  # noqa: F401 - registers the keepers of price lists
from .stuck import hooks as stuck
from .tracking import actions, contact  # noqa: F401 - registers the keepers of promised links
from .tracking.signals import links_asked
from .vehicles import hooks as vehicles
from .wanted import hooks as wanted
from .wanted import mailing  # noqa: F401 - registers the keeper of mails about requests

RECEIVERS: tuple[tuple[Signal, Callable[..., Any], str], ...] = (
    (spec_sent, when_spec_sent, "shop-opens-job"),
    (address_asked, where_followed, "shop-leads-on"),
    (jobs.job_opened, parts.when_job_built, "shop-parts-of-new-job"),
    (jobs.job_opened, money.when_job_priced, "shop-money-of-new-job"),
    (jobs.job_opened, customers.when_job_told, "shop-customer-of-new-job"),
    (jobs.contact_noted, customers.when_job_told, "shop-customer-follows-contact"),
    (jobs.customer_asked, customers.when_asked_who_it_is, "shop-customers-answer"),
    (jobs.customers_asked, customers.when_asked_whose, "shop-customers-tell-whose"),
    (jobs.job_opened, news.when_job_opened, "shop-news-of-new-job"),
    (promise_broken, news.when_promise_broken, "shop-news-of-broken-date"),
    (given_up, news.when_given_up, "shop-news-of-what-was-given-up"),
    (jobs.job_amended, parts.when_job_built, "shop-parts-of-amended-job"),
    (jobs.job_amended, money.when_job_priced, "shop-money-of-amended-job"),
    (jobs.job_amended, planning.when_job_amended, "shop-plan-of-amended-job"),
    (jobs.bought_in_vain, parts.when_asked_what_is_in_vain, "shop-parts-tell-what-is-in-vain"),
    (jobs.job_notices, notices.when_asked_for_notices, "shop-changes-notices"),
    (jobs.jobs_asking, notices.when_asked_who_asks, "shop-changes-ask"),
    (jobs.job_moved, answering.when_job_moved, "shop-changes-lapse"),
    (jobs.parts_missing, parts.what_is_missing, "shop-parts-answer"),
    (jobs.parts_unordered, parts.what_is_unordered, "shop-parts-answer-what-to-order"),
    (jobs.parts_expected, parts.when_parts_come, "shop-parts-tell-when"),
    (jobs.job_notices, planning.when_asked_for_notices, "shop-plan-notices"),
    (jobs.job_notices, messages.when_asked_for_notices, "shop-messages-notices"),
    (jobs.jobs_asking, planning.when_asked_who_asks, "shop-plan-asks"),
    (jobs.jobs_asking, messages.when_asked_who_asks, "shop-messages-ask"),
    (links_asked, wanted.when_links_asked, "shop-requests-mail-links"),
    (jobs.inbox_opened, wanted.when_inbox_opens, "shop-inbox-tells-of-requests"),
    (jobs.jobs_to_settle, money.when_asked_what_is_to_settle, "shop-money-tells-what-is-to-settle"),
    (jobs.inbox_opened, stuck.when_inbox_opens, "shop-inbox-tells-what-is-stuck"),
    (jobs.jobs_named, parts.when_paper_is_looked_for, "shop-parts-know-orders"),
    (jobs.possible_dates, planning.when_possible, "shop-plan-answers"),
    (jobs.job_released, money.when_job_released, "shop-money-holds-after-all"),
    (jobs.job_released, parts.when_job_released, "shop-parts-hold-after-all"),
    (jobs.before_handover, money.what_is_owed, "shop-money-warns-at-handover"),
    (jobs.job_moved, parts.when_job_moved, "shop-parts-follow-job"),
    (jobs.job_moved, planning.when_job_moved, "shop-plan-follows-job"),
    (jobs.contact_corrected, messages.when_contact_corrected, "shop-messages-follow-contact"),
    (jobs.job_moved, messages.when_job_moved, "shop-messages-follow-job"),
    (jobs.job_moved, documents.when_job_moved, "shop-papers-follow-job"),
    (money_signals.invoice_issued, documents.when_invoice_issued, "shop-paper-of-invoice"),
    (jobs.job_moved, money.when_job_moved, "shop-money-follows-job"),
    (jobs.job_forgotten, vehicles.when_job_forgotten, "shop-vehicles-forget-words"),
)


def connect() -> None:
    """Connect every receiver once, and register what the shop adds to the catalogue's files."""
    for model in (JobPart, Reservation, StockLevel, PurchaseLine):
        name = f"shop-marks-{model.__name__}"
        post_save.connect(when_changed, sender=model, dispatch_uid=name)
        post_delete.connect(when_changed, sender=model, dispatch_uid=name)
    for signal, receiver, name in RECEIVERS:
        signal.connect(receiver, dispatch_uid=name)
    register_stock()
