"""What is still missing before customers can be let in, and what has been changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.conf import settings
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from configurator.catalogue import selectors, snapshot
from configurator.catalogue.models import Workshop
from shop.jobs.states import MANAGER
from shop.planning.loading import places
from shop.planning.models import Bay, OpeningHours
from shop.planning.words import kind_of_place

from .models import SettingChange, SiteState
from .samples import is_sample
from .steps import STEPS, Step

NEEDED = {
    "workshop": ("name", "street", "postcode", "town", "country", "email", "phone"),
    "bank": ("iban",),
    "terms": ("terms", "terms_version"),
}


@dataclass(frozen=True)
class Need:
    """Something that is missing or ought to be looked at; ``blocks`` when customers would trip over it."""

    step: str
    text: str
    url: str
    blocks: bool = True


def needs(state: SiteState, workshop: Workshop | None) -> list[Need]:
    """Return what is missing, in the reader's language and the order of the steps."""
    found = [
        *_of_record(state, workshop),
        *_of_places(),
        *_of_places_for_work(),
        *_of_people(),
        *_of_goods(),
        *_of_prices(state),
        *_of_machine(),
    ]
    order = [step.id for step in STEPS]
    return sorted(found, key=lambda need: (not need.blocks, order.index(need.step)))


def has_run(state: SiteState) -> bool:
    """Whether the site has been open to customers: what stood there then was looked at."""
    return state.pk is None or state.first_opened_at is not None


def _need(step: str, text: str, blocks: bool = True, url: str = "") -> Need:
    return Need(step, text, url or reverse("shop:setting", args=[step]), blocks)


def _of_record(state: SiteState, workshop: Workshop | None) -> Iterator[Need]:
    empty = {step: [n for n in names if not getattr(workshop, n, "")] for step, names in NEEDED.items()}
    if empty["workshop"]:
        yield _need("workshop", _("The workshop’s name, address, mail or telephone."))
    if workshop is None or not workshop.labour_rate_per_h:
        yield _need("tax", _("What an hour’s work costs."))
    elif "tax" not in state.confirmed and not has_run(state):
        yield _need("tax", _("The tax rate has not been confirmed."))
    if workshop is not None and workshop.labour_rate_per_h and not workshop.tax_number:
        yield _need("tax", _("Your tax number: without one no invoice can be issued."), False)
    if empty["bank"]:
        yield _need("bank", _("The account that deposits are paid to."))
    if "deposit" not in state.confirmed and not has_run(state):
        yield _need("deposit", _("The deposit has not been confirmed."))
    yield from _of_terms(state, workshop, bool(empty["terms"]))
    if "languages" not in state.confirmed:
        yield _need(
            "languages", _("Nobody has said which languages the site speaks: all are offered."), False
        )
    if "look" not in state.confirmed:
        yield _need("look", _("The site looks as it comes: no logo, the usual accent."), False)


def _of_terms(state: SiteState, workshop: Workshop | None, is_empty: bool) -> Iterator[Need]:
    if is_empty or workshop is None:
        yield _need("terms", _("Terms that customers read before they send."))
    elif is_sample(workshop.terms):
        yield _need("terms", _("The terms are our sample still: have your own checked."))
    elif "terms" not in state.confirmed and not has_run(state):
        yield _need("terms", _("Nobody has said that the terms were checked."))
    if workshop is None or not workshop.privacy:
        yield _need(
            "terms", _("A privacy notice: customers are not told what you do with their data."), False
        )
    elif is_sample(workshop.privacy):
        yield _need("terms", _("The privacy notice is our sample still: have your own checked."))


def _of_places() -> Iterator[Need]:
    if not OpeningHours.objects.exists():
        yield _need("places", _("The hours in which you work."))
    if not Bay.objects.filter(is_open=True).exists():
        yield _need("places", _("A bay to work in."))


def is_borrowed(state: SiteState) -> bool:
    """Whether the goods have the demonstration's prices still, as far as anybody has said."""
    return bool(state.borrowed_at) and "catalogue" not in state.confirmed and not has_run(state)


def _of_prices(state: SiteState) -> Iterator[Need]:
    if is_borrowed(state):
        yield _need(
            "catalogue", _("The prices are the demonstration’s: look at them, or read in your own lists.")
        )


def _of_places_for_work() -> Iterator[Need]:
    """What customers may choose and nobody could ever plan: no place of the kind that it needs is in use."""
    recipes = snapshot.current().recipes.values()
    wanted = {step.resource for recipe in recipes for step in recipe.operations.all()}
    there = places() if Bay.objects.exists() else wanted
    for kind in sorted(wanted - set(there)):
        text = _("Work that customers can choose needs a place of this kind, and none is in use: %(kind)s.")
        yield _need("places", text % {"kind": kind_of_place(kind)}, False, reverse("shop:plan_setup"))


def _of_people() -> Iterator[Need]:
    if not User.objects.filter(is_active=True).exclude(groups__name=MANAGER).exists():
        yield _need("people", _("Nobody but the manager has an account."), False)
    waiting = sum(
        not user.has_usable_password() for user in User.objects.filter(is_active=True).only("password")
    )
    if waiting:
        text = ngettext(
            "%(n)d invitation has not been taken up.", "%(n)d invitations have not been taken up.", waiting
        )
        yield _need("people", text % {"n": waiting}, False)


def _of_goods() -> Iterator[Need]:
    catalogue = snapshot.current()
    whole = [
        row
        for code, row in catalogue.generations.items()
        if {(code, "front"), (code, "rear")} <= catalogue.axles.keys()
    ]
    if not whole:
        yield _need("catalogue", _("A vehicle with both its axles measured."))
    elif not any(_has_choice(row.code) for row in whole):
        yield _need("catalogue", _("Something that customers can choose: a wheel, or any option."))
    undrawn = sum(not row.body for row in whole)
    if undrawn:
        text = ngettext("%(n)d vehicle has no picture.", "%(n)d vehicles have no picture.", undrawn)
        yield _need("catalogue", text % {"n": undrawn}, False)


def _has_choice(code: str) -> bool:
    catalogue = snapshot.current()
    axle = catalogue.axles[code, "front"]
    options = selectors.options_for(catalogue, catalogue.generations[code])
    return any(option.kind != "fact" for option in options) or bool(selectors.wheels_for(catalogue, axle))


def _of_machine() -> Iterator[Need]:
    if "filebased" in settings.EMAIL_BACKEND:
        text = _("Mail goes to a folder: nobody gets any until a mail server is set (KERBLINE_SMTP_HOST).")
        yield _need("workshop", text, False, reverse("shop:settings") + "#machine")
    if "127.0.0.1" in settings.SITE_URL or "localhost" in settings.SITE_URL:
        text = _("Links in mails lead to this machine until the site’s address is set (KERBLINE_SITE_URL).")
        yield _need("workshop", text, False, reverse("shop:settings") + "#machine")


def blocking(found: Iterable[Need]) -> list[str]:
    """Return the sentences of what keeps customers out."""
    return [need.text for need in found if need.blocks]


def last_changes(step: Step | None = None, most: int = 8) -> list[SettingChange]:
    """Return the newest changes, of one step or of all."""
    rows = SettingChange.objects.all()
    return list(rows.filter(step=step.id)[:most] if step else rows[:most])
