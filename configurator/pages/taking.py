"""One uploaded photo taken in, or the sentence that says why not; the same before and after sending."""

from __future__ import annotations

import logging

from django.core.files.uploadedfile import UploadedFile
from django.db import DatabaseError
from django.utils.translation import gettext

from configurator.builds import service
from configurator.builds.models import Photo, Spec
from configurator.builds.photos import NoRoomError, TooManyPhotosError, add_photo, bounds
from configurator.pictures.photos import PhotoRefused
from configurator.visitors.full import is_full

from .told import told

logger = logging.getLogger(__name__)


def taken(spec: Spec, file: UploadedFile, *, after_sending: bool = False) -> tuple[Photo | None, str]:
    """Take one file in, or say why not."""
    label = (file.name or "").rpartition(".")[0][:100]
    try:
        found = add_photo(spec_id=spec.pk, file=file, label=label, after_sending=after_sending)  # type: ignore[arg-type]
    except PhotoRefused as refusal:
        return None, f"{label}: {told(refusal.said)}"
    except TooManyPhotosError:
        limit, _most = bounds(after_sending=after_sending)
        return None, gettext("No more than %(limit)d photos, please.") % {"limit": limit}
    except NoRoomError as full:
        return None, _no_room(of_all=full.of_all, after_sending=after_sending)
    except (OSError, DatabaseError) as error:
        if not is_full(error):
            raise
        logger.exception("no room for a photo")
        return None, _no_room(of_all=True, after_sending=after_sending)
    except service.AlreadySentError:
        return None, gettext("This build has been sent; add further photos on the page of your job.")
    return found, ""


def _no_room(*, of_all: bool, after_sending: bool) -> str:
    if of_all and after_sending:
        return gettext("We have no room for more photos at the moment. Bring them along, or try again later.")
    if of_all:
        return gettext(
            "We have no room for more photos at the moment. Send the build without them and bring them along."
        )
    most = bounds(after_sending=after_sending)[1] // 1_000_000
    return gettext("The photos of one build may take %(mb)d MB together. Remove one first.") % {"mb": most}
