"""What the plan has to say, worded: why a job cannot be planned, how far planning is, stages of work."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from configurator.catalogue.models import STAGES

STAGE_WORDS: dict[str, str | Promise] = {
    "book-in": gettext_lazy("book-in"),
    "test fit": gettext_lazy("test fit"),
    "wheels off": gettext_lazy("wheels off"),
    "strip": gettext_lazy("strip"),
    "prep": gettext_lazy("prep"),
    "prime": gettext_lazy("prime"),
    "colour": gettext_lazy("colour"),
    "lacquer": gettext_lazy("lacquer"),
    "cure": gettext_lazy("cure"),
    "refit": gettext_lazy("refit"),
    "bond": gettext_lazy("bond"),
    "wheels on": gettext_lazy("wheels on"),
    "torque": gettext_lazy("torque"),
    "polish": gettext_lazy("polish"),
    "wash": gettext_lazy("wash"),
    "final check": gettext_lazy("final check"),
}
KIND_WORDS: dict[str, str | Promise] = {
    "bay": gettext_lazy("bay"),
    "lift": gettext_lazy("lift"),
    "booth": gettext_lazy("booth"),
    "bench": gettext_lazy("bench"),
}
PROGRESS: dict[str, str | Promise] = {
    "loading": gettext_lazy("Gathering the open jobs"),
    "solving": gettext_lazy("Finding times"),
    "improving": gettext_lazy("Looking for a better plan"),
    "storing": gettext_lazy("Writing the plan down"),
}


def kind_of_place(kind: str) -> str:
    """Return a kind of place in words."""
    return str(KIND_WORDS.get(kind, kind))


def stage_choices() -> list[tuple[str, str | Promise]]:
    """Return the stages of work in their order, in words."""
    return [(stage, STAGE_WORDS[stage]) for stage in STAGES]


def stages(skills: Iterable[str]) -> str:
    """Return stages in words, or that everything can be done."""
    return ", ".join(str(STAGE_WORDS.get(each, each)) for each in skills) or _("everything")


def why_not_planned(code: str, which: str) -> str:
    """Return why a job is not in the plan, and what helps."""
    if code == "place":
        return _("No %(place)s is in use. Put one into use under Bays and hours.") % {
            "place": KIND_WORDS.get(which, which)
        }
    if code == "skill":
        return _("Nobody who works here can do: %(work)s. Give somebody that skill under People.") % {
            "work": STAGE_WORDS.get(which, which)
        }
    if code == "hours":
        return _("“%(step)s” is longer than anybody who can do it works without a gap.") % {"step": which}
    return _("There is more work than the next years hold. Look at the opening hours.")
