"""What must hold before a job may move, each with the message for when it does not."""

from __future__ import annotations

from collections.abc import Callable

from django.utils.translation import gettext as _

from configurator.builds.sentences import say
from configurator.pages import told_codes
from configurator.pages.told import told

from .evaluations import copied
from .models import Job
from .models_lines import Proposal
from .said import hold_of
from .settled import says_no, to_measure
from .signals import answers, parts_missing, parts_unordered


def both_agreed(job: Job) -> str:
    """Workshop and customer said yes to the very revision that is worked on."""
    if job.workshop_agreed_revision_id != job.revision_id:
        return _("The workshop has not agreed to revision %(number)s.") % {"number": job.revision.number}
    if job.customer_agreed_revision_id != job.revision_id:
        return _("The customer has not agreed to revision %(number)s.") % {"number": job.revision.number}
    return ""


def parts_complete(job: Job) -> str:
    """Every line of the parts list is here or on the shelf."""
    missing = [line for lines in answers(parts_missing, job) for line in lines]
    return _("Still missing: %(parts)s.") % {"parts": "; ".join(missing)} if missing else ""


def parts_ordered(job: Job) -> str:
    """Whatever is not here is on order."""
    missing = [line for lines in answers(parts_unordered, job) for line in lines]
    return _("Not on order yet: %(parts)s.") % {"parts": "; ".join(missing)} if missing else ""


def planned(job: Job) -> str:
    """Every step has a place and a time."""
    unplanned = job.operations.filter(planned_start=None, done_at=None).count()
    return _("%(n)s steps have no time in the plan yet.") % {"n": unplanned} if unplanned else ""


def not_on_hold(job: Job) -> str:
    """Nothing holds the job up."""
    return _("On hold: %(reason)s") % {"reason": hold_of(job)} if job.is_held else ""


def work_done(job: Job) -> str:
    """Every step is ticked, or left out with a reason."""
    undone = job.operations.filter(done_at=None).values_list("name", flat=True)
    names = [copied(job, name) for name in undone]
    more = _(" and %(n)s more") % {"n": len(names) - 3} if len(names) > 3 else ""
    return _("Not done yet: %(steps)s.") % {"steps": ", ".join(names[:3]) + more} if names else ""


def measured(job: Job) -> str:
    """Every fit row that had to be measured was, and none of them says no."""
    for each in to_measure(job):
        verdict = each.done.verdict if each.done else ""
        if verdict != "fits":
            what = _("does not fit as measured") if verdict == "no" else _("still has to be measured")
            axle = (
                told(say(each.row.axle)) if each.row.axle in ("front", "rear", "vehicle") else each.row.axle
            )
            return f"{told_codes.name_of_check(each.row.id)}, {axle}: {what}."
    return ""


def nothing_says_no(job: Job) -> str:
    """No fit check says no, by calculation or as measured."""
    return _("A fit check says no. Change the build or decline it.") if says_no(job) else ""


def nothing_asked(job: Job) -> str:
    """No change waits for the customer's yes."""
    asked = job.proposals.filter(state=Proposal.State.OPEN).values_list("why", flat=True)
    return _("The customer has not answered yet: %(what)s") % {"what": "; ".join(asked)} if asked else ""


def wheels_tight(job: Job) -> str:
    """No wheel that was off leaves without its torque."""
    steps = job.operations.all()
    if not steps.filter(stage="wheels off", is_skipped=False).exclude(done_at=None).exists():
        return ""
    loose = steps.filter(done_at=None).exclude(torque_nm=None).exists()
    return _("The wheels are off. Tighten them to torque first.") if loose else ""


HOLDS: dict[str, Callable[[Job], str]] = {
    check.__name__: check
    for check in (
        both_agreed,
        nothing_says_no,
        parts_complete,
        parts_ordered,
        planned,
        not_on_hold,
        work_done,
        measured,
        nothing_asked,
        wheels_tight,
    )
}
