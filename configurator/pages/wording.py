"""Choices and standings of a build in the reader's words."""

from __future__ import annotations

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from configurator.builds import standing
from configurator.builds.choices import Choice

from .told import told

STANDINGS = {
    standing.EMPTY: _("nothing chosen yet"),
    standing.FITS: _("fits"),
    standing.MEASURE: _("we measure first"),
    standing.UNKNOWN: _("not known yet"),
    standing.ASKS: _("a colour is missing"),
    standing.NO: _("does not fit"),
    standing.CLASHES: _("does not go together"),
    standing.WRONG: _("cannot be had like this"),
}


def choice_words(choice: Choice) -> str:
    """Return a choice in a few words: what it is, where it goes, in which finish."""
    return placed(told(choice.name), choice.place)


def placed(name: str, place: str) -> str:
    """Return a part with the axle that it is for."""
    if place == "front":
        return gettext("%(name)s, front") % {"name": name}
    if place == "rear":
        return gettext("%(name)s, rear") % {"name": name}
    return gettext("%(name)s, front and rear") % {"name": name} if place else name
