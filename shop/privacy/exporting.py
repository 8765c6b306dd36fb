"""Everything kept about a customer, for the customer: one readable file and all pictures and papers."""

from __future__ import annotations

import io
import json
import zipfile
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import FileField, Model
from django.db.models.fields.files import FieldFile

from configurator.builds.models import BUILD_LINK, SHARE_LINK
from configurator.models import PendingSend, Spec
from shop.customers.forgetting import told_of
from shop.jobs.models import Job
from shop.jobs.models_bookin import BookIn
from shop.money.models import BillingAddress
from shop.showcase import letting_go
from shop.tracking.models import NewAddress
from shop.wanted import keeping
from shop.wanted.models import VehicleRequest

from .finding import Kept, invoices_of, papers_of

# Keys to the job and to other people's accounts are not the customer's data.
LEFT_OUT = frozenset(
    {*BUILD_LINK.fields, *SHARE_LINK.fields, "raw", "user", "by", "decided_by", "done_by", "entry", "press"}
)


def export(kept: Kept) -> bytes:
    """Return a ZIP with ``everything.json`` and the files it names."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        told = {
            "mail": kept.email,
            "builds": [_build(archive, spec) for spec in kept.specs],
            "jobs": [_job(archive, job) for job in kept.jobs],
            "records": told_of(kept.jobs),
            "vehicles_asked_for": [_request(archive, row) for row in kept.requests],
        }
        text = json.dumps(told, cls=DjangoJSONEncoder, ensure_ascii=False, indent=1)
        archive.writestr("everything.json", text)
    return out.getvalue()


def _build(archive: zipfile.ZipFile, spec: Spec) -> dict[str, Any]:
    photos = [_file(archive, "photos", photo.image) for photo in spec.photos.all()]
    versions = [_row(revision) for revision in spec.revisions.all()]
    waiting = [_row(row) for row in PendingSend.objects.filter(spec=spec)]
    kept = {"versions": versions, "waiting": waiting, "photos": [name for name in photos if name]}
    return _row(spec) | kept


def _job(archive: zipfile.ZipFile, job: Job) -> dict[str, Any]:
    papers = [
        _file(archive, "papers", paper.file, f"{job.number}-{paper.kind}.pdf") for paper in papers_of(job)
    ]
    papers += [_file(archive, "papers", paper.file, f"{number}.pdf") for number, paper in invoices_of(job)]
    told = {"papers": [name for name in papers if name], "book_in": _book_in(archive, job)}
    return _row(job) | _around(job, archive) | told | _shown(archive, job)


def _shown(archive: zipfile.ZipFile, job: Job) -> dict[str, Any]:
    """Return what is shown of the job to visitors, or prepared to be."""
    photos = [_file(archive, "shown", photo.image) for photo in letting_go.photos_of(job)]
    return {"shown_texts": letting_go.texts_of(job), "shown_photos": [name for name in photos if name]}


def _book_in(archive: zipfile.ZipFile, job: Job) -> dict[str, Any]:
    """Return how their vehicle came in, with photos and marks; nothing when it did not."""
    record = BookIn.objects.filter(job=job).first()
    if record is None:
        return {}
    photos = [
        {"side": photo.side, "at": photo.at, "file": name}
        for photo in record.photos.all()
        if (name := _file(archive, "photos", photo.file))
    ]
    return _row(record) | {"marks": [_row(mark) for mark in record.marks.all()], "photos": photos}


def _request(archive: zipfile.ZipFile, row: VehicleRequest) -> dict[str, Any]:
    photos = [_file(archive, "photos", photo.image) for photo in row.photos.all()]
    return keeping.told(row) | {"photos": [name for name in photos if name]}


def _around(job: Job, archive: zipfile.ZipFile) -> dict[str, list[dict[str, Any]]]:
    """Return what hangs on the job and is about the customer, with photos of their vehicle."""
    names = (
        "history", "messages", "mails", "payments", "refunds", "reductions", "settlements", "invoices",
        "deposit_requests", "measurements", "lines", "proposals", "operations", "date_wishes",
        "showing_consents",
    )  # fmt: skip
    found = {name: [_with_photo(archive, row) for row in getattr(job, name).all()] for name in names}
    alone = {"billing_address": BillingAddress, "new_address": NewAddress}
    return found | {
        name: [_row(row) for row in model._default_manager.filter(job=job)] for name, model in alone.items()
    }


def _with_photo(archive: zipfile.ZipFile, row: Model) -> dict[str, Any]:
    name = _file(archive, "photos", getattr(row, "photo", None))
    return _row(row) | ({"file": name} if name else {})


def _row(row: Model) -> dict[str, Any]:
    """Return a row's own fields, without keys, files and other people."""
    fields = [f for f in row._meta.concrete_fields if f.name not in LEFT_OUT and not isinstance(f, FileField)]
    return {field.name: field.value_from_object(row) for field in fields}


def _file(archive: zipfile.ZipFile, folder: str, file: FieldFile | None, name: str = "") -> str:
    """Put a stored file in and return its name there; nothing when it is gone."""
    if not file:
        return ""
    inside = f"{folder}/{name or (file.name or '').rpartition('/')[2]}"
    try:
        with file.open("rb") as opened:
            archive.writestr(inside, opened.read())
    except FileNotFoundError:
        return ""
    return inside
