"""Taking a ready-made look, having back what it took the place of, and a look's picture."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext
from django.views.decorators.http import condition, require_safe

from configurator.builds import ready_looks, service
from configurator.builds.choices import choices
from configurator.builds.models import Spec
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot

from . import drawing
from .forms_contact import to_keep
from .page import Page, back_to
from .told import told
from .wording import choice_words

PICTURE_KEPT_S = 24 * 3600


def begin_with(request: HttpRequest, spec: Spec, code: str) -> None:
    """Take a look on a build just begun, if it is still offered."""
    try:
        ready_looks.put_on(spec_id=spec.pk, code=code)
    except ready_looks.UnknownLookError:
        messages.warning(request, gettext("That look is not offered any more; begin as you like."))


def take(page: Page, selection: Selection) -> HttpResponse:
    """Take the look that the button names and say what it took the place of."""
    code = str(page.request.POST.get("do", "")).partition(":")[2]
    service.keep_typed(spec_id=page.spec.pk, contact=to_keep(page.request.POST))
    before = choices(service.look(selection), page.catalogue)
    try:
        after = ready_looks.put_on(spec_id=page.spec.pk, code=code, selection=selection)
    except ready_looks.UnknownLookError:
        service.save_build(spec_id=page.spec.pk, selection=selection)
        messages.warning(page.request, gettext("That look is not offered any more; nothing was changed."))
        return back_to(page, opened="looks")
    name = told(page.catalogue.looks[code].name)
    messages.success(page.request, gettext("You took “%(look)s”. Change anything you like.") % {"look": name})
    stays = {choice.tokens for choice in choices(after, page.catalogue)}
    gone = "; ".join(choice_words(choice) for choice in before if choice.tokens not in stays)
    if gone:
        messages.info(page.request, gettext("It took the place of: %(choices)s.") % {"choices": gone})
    return back_to(page, opened="looks")


def give_back(page: Page, selection: Selection) -> HttpResponse:
    """Have back the choices that a look took the place of."""
    service.keep_typed(spec_id=page.spec.pk, contact=to_keep(page.request.POST))
    ready_looks.put_back(spec_id=page.spec.pk, selection=selection)
    messages.success(page.request, gettext("Your choices are back as they were before."))
    return back_to(page, opened="looks")


def is_done(page: Page, selection: Selection) -> bool:
    """Whether a look's button was pressed twice: the first press has made what is stored."""
    if page.spec.before_look != selection.model_dump(mode="json") or page.pressed not in TAKING:
        return False
    if page.pressed == "look-back":
        return True
    look = page.catalogue.looks.get(str(page.request.POST.get("do", "")).partition(":")[2])
    return look is not None and page.stored == ready_looks.taken(look, selection, page.catalogue)


TAKING = {"look": take, "look-back": give_back}


def _tag(request: HttpRequest, code: str) -> str | None:
    return f'"{code}-{snapshot.current().digest[:16]}-{request.GET.get("body", "")[:60]}"'


@require_safe
@condition(etag_func=_tag)
def picture(request: HttpRequest, code: str) -> HttpResponse:
    """Return a look from the side as SVG, in the body colour that is asked for where the vehicle has it."""
    catalogue = snapshot.current()
    look = catalogue.looks.get(code)
    if look is None:
        raise Http404
    body = request.GET.get("body", "")
    colours = {one.code for one in catalogue.generations[look.generation.code].body_finishes.all()}
    shown = body if body in colours else ready_looks.shown_in(look, catalogue)
    selection = ready_looks.chosen_by(look).model_copy(update={"body_finish": shown})
    svg = drawing.pictures(selection, catalogue, prefix="look")["picture_side"]
    if not svg:
        raise Http404
    response = HttpResponse(svg, content_type="image/svg+xml")
    patch_cache_control(response, public=True, max_age=PICTURE_KEPT_S)
    return response
