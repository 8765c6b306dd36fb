"""Staff pages of ready-made looks: composed, put in order, retired, and told when one no longer stands."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from configurator.builds import ready_looks
from configurator.builds.models import Spec
from configurator.catalogue import snapshot
from configurator.catalogue.going_live import NotLiveError
from configurator.catalogue.workshop import currency_of
from configurator.pages import drawing
from configurator.pages import looks as look_pages
from configurator.pages.told import told
from shop.jobs.access import staff
from shop.jobs.states import MANAGER

from . import composing
from .forms import LookForm

edits = staff(MANAGER)


@edits
@require_safe
def looks(request: HttpRequest) -> HttpResponse:
    """Show every vehicle with its looks, what each comes to, and why one is not offered."""
    catalogue = snapshot.current()
    retired = catalogue.retired.get(composing.KIND, {}).values()
    vehicles = [
        {
            "generation": generation,
            "looks": [_shown(one, catalogue) for one in ready_looks.of_generation(code, catalogue)],
            "retired": [one for one in retired if one.generation.code == code],
        }
        for code, generation in catalogue.generations.items()
    ]
    context = {"vehicles": vehicles, "currency": currency_of(catalogue.workshop)}
    return render(request, "shop/showcase/looks.html", context)


def _shown(look: Any, catalogue: Any) -> dict[str, Any]:
    judged = ready_looks.judged(look, None, catalogue)
    return {
        "look": look,
        "card": look_pages.card_of(judged, catalogue),
        "stands": judged.stands,
        "reasons": [told(reason) for reason in judged.reasons],
    }


@edits
@require_POST
def begin(request: HttpRequest) -> HttpResponse:
    """Begin choosing on the customer's page, for a new look or anew for one that there is."""
    try:
        copy = composing.begin(
            generation=request.POST.get("generation", ""),
            look=request.POST.get("look", ""),
            language=get_language() or "en-gb",
        )
    except (KeyError, ValueError):
        messages.error(request, _("That vehicle or look is not in the catalogue any more."))
        return redirect("shop:looks")
    return redirect("configurator:build", copy.token)


@edits
@require_http_methods(["GET", "HEAD", "POST"])
def keep(request: HttpRequest, key: str) -> HttpResponse:
    """Show what was chosen and take its words; keep it as a look."""
    look = request.GET.get("look", "")
    copy = composing.copy_of(key, look)
    if copy is None:
        messages.info(request, _("This was kept already, or given up: here is how it stands."))
        return redirect("shop:looks")
    if request.method == "POST" and request.POST.get("do") == "give-up":
        copy.delete()
        messages.info(request, _("Nothing was kept; the looks are as they were."))
        return redirect("shop:looks")
    form = _form(request, look)
    if request.method == "POST" and form.is_valid():
        kept = _kept(request, copy, look, form)
        if kept is not None:
            return kept
    return _kept_page(request, copy, look, form, status=422 if form.is_bound else 200)


def _form(request: HttpRequest, look: str) -> LookForm:
    if request.method == "POST":
        return LookForm(request.POST)
    initial = LookForm.as_initial(composing.words_of(look)) if look else {}
    return LookForm(initial={**initial, "seen": composing.mark_of(look)})


def _kept(request: HttpRequest, copy: Spec, look: str, form: LookForm) -> HttpResponse | None:
    seen = form.cleaned_data["seen"]
    try:
        composing.keep(copy_id=copy.pk, look=look, words=form.said(), seen=seen, by=request.user)
    except composing.DoesNotStandError:
        form.add_error(None, _("It is not kept: what was chosen could not be sent as it is."))
    except composing.ChangedMeanwhileError:
        form.add_error(None, _changed())
    except NotLiveError as error:
        form.add_error(None, str(error))
    except Spec.DoesNotExist:
        return redirect("shop:looks")
    else:
        messages.success(request, _("The look is kept, and offered at once."))
        return redirect("shop:looks")
    return None


def _changed() -> str:
    return _("Somebody changed this look while you had it before you. Open it anew from the list.")


def _kept_page(request: HttpRequest, copy: Spec, look: str, form: LookForm, status: int) -> HttpResponse:
    catalogue = snapshot.current()
    judged = composing.judged_copy(copy)
    context = {
        "form": form,
        "copy": copy,
        "judged": judged,
        "generation": catalogue.generations[judged.look.generation.code],
        "reasons": [told(reason) for reason in judged.reasons],
        "holds": look_pages.held(judged.evaluation, catalogue),
        "currency": currency_of(catalogue.workshop),
        "is_new": not look,
        **drawing.pictures(judged.selection, catalogue),
    }
    return render(request, "shop/showcase/look_keep.html", context, status=status)


@edits
@require_http_methods(["GET", "HEAD", "POST"])
def words(request: HttpRequest, code: str) -> HttpResponse:
    """Change what a look is called and what is said of it."""
    found = composing.look_of(code)
    if found is None:
        raise Http404
    form = _form(request, code)
    if request.method == "POST" and form.is_valid():
        try:
            composing.reword(code=code, words=form.said(), seen=form.cleaned_data["seen"], by=request.user)
        except composing.ChangedMeanwhileError:
            form.add_error(None, _changed())
        except NotLiveError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("The look’s words are changed."))
            return redirect("shop:looks")
    status = 422 if form.is_bound else 200
    return render(request, "shop/showcase/look_words.html", {"form": form, "look": found}, status=status)


@edits
@require_POST
def act(request: HttpRequest, code: str) -> HttpResponse:
    """Move a look, retire it or bring it back."""
    deed = request.POST.get("do", "")
    try:
        if deed in ("up", "down"):
            composing.move(code=code, up=deed == "up", by=request.user)
        elif deed in ("retire", "back"):
            composing.retire(code=code, retired=deed == "retire", by=request.user)
            said = _("The look is not offered any more.") if deed == "retire" else _("The look is back.")
            messages.success(request, said)
    except KeyError:
        messages.info(request, _("That look is not there any more."))
    except NotLiveError as error:
        messages.error(request, str(error))
    return redirect(reverse("shop:looks") + f"#look-{code}")
