"""A frozen evaluation is read once for each revision in hand."""

from configurator.builds.evaluation import Evaluation
from configurator.builds.selection import Selection
from configurator.models import SpecRevision
from shop.jobs.evaluations import evaluation_of


def _kept(version: int) -> dict[str, object]:
    return Evaluation(selection=Selection(generation="haldor-2"), catalogue_version=version).kept()


def test_a_revision_is_read_once_and_anew_when_it_holds_something_else() -> None:
    revision = SpecRevision(evaluation=_kept(1))
    first = evaluation_of(revision)
    assert first.catalogue_version == 1
    assert evaluation_of(revision) is first
    revision.evaluation = _kept(2)
    assert evaluation_of(revision).catalogue_version == 2


def test_each_revision_has_its_own() -> None:
    one, other = SpecRevision(evaluation=_kept(1)), SpecRevision(evaluation=_kept(2))
    assert [evaluation_of(each).catalogue_version for each in (one, other, one)] == [1, 2, 1]
