"""Finding jobs by whatever somebody has at hand.

Each job has one text, compared without case, accents, blanks and strokes.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from django.db.models import Exists, OuterRef, Q, QuerySet

from configurator.builds.evaluation import Evaluation
from configurator.catalogue import snapshot

from .evaluations import evaluation_of
from .models import Job, JobWords
from .signals import jobs_named
from .substrings import keys_of, reads

UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue"})
PHONE = re.compile(r"\+?[\d\s()/.-]{6,}")
PAPER = re.compile(r"([a-z]{1,4})([0-9]{4})([0-9]{4,9})")
CALLING_CODE_DIGITS = (1, 2, 3)
MOST_WORDS = 6
SORTED_BY = 80
FEW = 500


def squash(text: str) -> str:
    """Return the letters and digits of a text alone, without case or accents: ``XB-Äb 12`` is ``xbab12``."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in plain if char.isalnum())


def spellings(text: str) -> set[str]:
    """Return how a text may have been typed: ``Müller`` is ``muller`` and ``mueller``."""
    composed = unicodedata.normalize("NFKC", text.casefold())
    return {squash(composed), squash(composed.translate(UMLAUTS))} - {""}


def sort_name(name: str) -> str:
    """Return a customer's name as lists are sorted by it."""
    plain = unicodedata.normalize("NFKD", name.casefold())
    return "".join(char for char in plain if not unicodedata.combining(char))[:SORTED_BY]


def words_of(job: Job, evaluation: Evaluation) -> str:
    """Return everything that a job may be found by, each fact squashed, parted by blanks."""
    return " ".join(sorted({way for fact in _facts(job, evaluation) for way in spellings(fact)}))


def _facts(job: Job, evaluation: Evaluation) -> Iterator[str]:
    revision = job.revision
    yield from (job.number, revision.name, revision.email, revision.registration, revision.vin, job.spec.name)
    yield revision.phone.replace("(0)", "")
    code = str(revision.selection.get("generation", ""))
    yield code
    vehicle = snapshot.current().generations.get(code)
    yield str(vehicle) if vehicle else ""
    yield from evaluation.names.values()
    for line in evaluation.parts:
        yield from (line.item, line.name, line.supplier_ref)


def note_words(job: Job, evaluation: Evaluation | None = None) -> None:
    """Keep what the job is found by in step with what it is; called in the transaction of the change."""
    text = words_of(job, evaluation or evaluation_of(job.revision))
    JobWords.objects.update_or_create(job=job, defaults={"text": text})
    job.sort_name = sort_name(job.revision.name)
    job.save(update_fields=["sort_name"])


def find(jobs: QuerySet[Job], typed: str) -> QuerySet[Job]:
    """Return those of the jobs that what was typed may mean.

    All of it as one, such as a plate in pieces, is asked first; only when nothing has it, word by word.
    """
    if not squash(typed):
        return jobs
    as_one = jobs.filter(_having([spellings(typed) | _phone(typed)], _paper(typed)))
    words = typed.split()[:MOST_WORDS]
    if len(words) < 2 or as_one.exists():
        return as_one
    plain = []
    for word in words:
        if paper := _paper(word):
            jobs = jobs.filter(_having([spellings(word)], paper))
        elif ways := spellings(word):
            plain.append(ways)
    return jobs.filter(_having(plain, [])) if plain else jobs


def _having(words: list[set[str]], named: list[int]) -> Q:
    """Return the jobs that have all the words, or that are named: by their keys, while those are few."""
    keys = keys_of(JobWords, "text", words, FEW + 1)
    if len(keys) <= FEW:
        return Q(pk__in=[*keys, *named])
    return Q(Exists(JobWords.objects.filter(reads("text", words), job=OuterRef("pk")))) | Q(pk__in=named)


def _phone(typed: str) -> set[str]:
    """A telephone number with or without its calling code, a nought in brackets, blanks or strokes."""
    if not PHONE.fullmatch(typed.strip()):
        return set()
    digits = squash(typed.replace("(0)", ""))
    abroad = typed.strip().startswith("+") or digits.startswith("00")
    digits = digits.lstrip("0")
    found = {digits} if digits else set()
    if abroad:
        for code in CALLING_CODE_DIGITS:
            if len(digits) - code >= 6:
                found.add("0" + digits[code:])
    return found


def _paper(typed: str) -> list[int]:
    """The jobs of a paper's number, such as a purchase order's, however it is written."""
    parts = PAPER.fullmatch(squash(typed))
    if not parts:
        return []
    number = "-".join(parts.groups()).upper()
    found: list[int] = []
    for _, answer in jobs_named.send(Job, number=number):
        if answer is not None:
            found.extend(Job.objects.filter(pk__in=answer).values_list("pk", flat=True))
    return found
