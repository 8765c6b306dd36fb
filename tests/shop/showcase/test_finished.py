"""Finished builds: shown by consent alone, without the customer, gone at once when it is taken back."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from configurator.builds.extra import with_lines
from configurator.builds.free_lines import FreeLine
from configurator.builds.models import Spec
from configurator.builds.selection import Selection
from configurator.catalogue import snapshot
from shop.jobs.errors import JobError, UnmetError
from shop.jobs.evaluations import evaluation_of
from shop.models import FinishedBuild, HistoryEntry, Job, ShowingConsent, ShownPhoto
from shop.showcase import consent, finishing, selectors
from tests.shop import factories

TEXTS = {"en": {"title": "Teal on white", "text": "Handles."}, "de": {"title": "Petrol auf Weiß"}}
GPS_TAG = 0x8825


def jpeg_with_place(size: tuple[int, int] = (320, 240)) -> bytes:
    """Return a photo as a telephone takes it: with the place in it."""
    exif = Image.Exif()
    exif[0x010E] = "Lindenhof 8"
    exif.get_ifd(GPS_TAG)[1] = "N"
    out = BytesIO()
    Image.effect_noise(size, 80).convert("RGB").save(out, "JPEG", exif=exif, comment=b"Lindenhof 8")
    return out.getvalue()


def shown(job: Job, by: Any) -> FinishedBuild:
    """Have the customer agree and the workshop show it."""
    consent.answer_as_customer(job_id=job.pk, answer="given")
    own = next(one for one in finishing.sources(job) if one.side == "before")
    finishing.choose(job_id=job.pk, key=own.key, side="before")
    finishing.add_sent(job_id=job.pk, data=jpeg_with_place(), side="after")
    finishing.write(job_id=job.pk, texts=TEXTS)
    finishing.publish(job_id=job.pk, by=by)
    return FinishedBuild.objects.get(job=job)


def addresses(build: FinishedBuild) -> list[str]:
    photos = [
        reverse("finished:photo", args=[one.address, size])
        for one in build.photos.all()
        for size in ("small", "large")
    ]
    return [reverse("finished:one", args=[build.address]), *photos]


@pytest.mark.long
def test_nobody_is_asked_before_the_handover_and_nothing_is_shown_without_a_yes(sent: Job, mira: Any) -> None:
    page = reverse("tracking:job", args=[sent.token])
    assert "May we show it?" not in Client().get(page).content.decode()
    with pytest.raises(JobError):
        consent.answer_as_customer(job_id=sent.pk, answer="given")
    deeds = (
        lambda: finishing.choose(job_id=sent.pk, key=finishing.sources(sent)[0].key, side="before"),
        lambda: finishing.add_sent(job_id=sent.pk, data=jpeg_with_place(), side="after"),
        lambda: finishing.write(job_id=sent.pk, texts=TEXTS),
        lambda: finishing.publish(job_id=sent.pk, by=mira),
    )
    for deed in deeds:
        with pytest.raises(UnmetError, match="not agreed"):
            deed()
    assert not FinishedBuild.objects.exists()


@pytest.mark.long
def test_asked_on_the_customers_page_and_taken_back_there(
    job: Job, mira: Any, django_capture_on_commit_callbacks: Any
) -> None:
    client, page = Client(), reverse("tracking:job", args=[job.token])
    answer = reverse("tracking:showing", args=[job.token])
    asked = client.get(page).content.decode()
    assert "May we show it?" in asked
    assert consent.question()[:60] in asked
    for _twice in range(2):
        assert client.post(answer, {"answer": "given"}).status_code == 302
    given = ShowingConsent.objects.get()
    assert (given.answer, given.how, given.by, given.words) == ("given", "page", None, consent.question())
    build = shown(job, mira)
    assert reverse("finished:one", args=[build.address]) in client.get(page).content.decode()
    files = [
        (f.storage, f.name) for one in build.photos.all() for f in (one.original, one.image, one.thumbnail)
    ]
    there = addresses(build)
    assert [Client().get(one).status_code for one in there] == [200] * 5
    with django_capture_on_commit_callbacks(execute=True):
        client.post(answer, {"answer": "withdrawn"})
    assert [Client().get(one).status_code for one in there] == [404] * 5
    assert not FinishedBuild.objects.exists()
    assert len(files) == 6
    assert not any(storage.exists(name) for storage, name in files)
    assert "taken your consent back" in client.get(page).content.decode()
    with pytest.raises(UnmetError):
        finishing.publish(job_id=job.pk, by=mira)
    assert client.post(answer, {"answer": "nonsense"}).status_code == 302
    assert ShowingConsent.objects.count() == 2


@pytest.mark.long
def test_staff_cannot_answer_in_the_customers_place_but_record_what_they_were_told(
    job: Job, mira: Any
) -> None:
    client = Client()
    client.force_login(mira)
    assert client.post(reverse("tracking:showing", args=[job.token]), {"answer": "given"}).status_code == 403
    record = reverse("shop:finished_consent", args=[job.number])
    for wrong in (
        {"answer": "given", "how": "telephone", "note": " "},
        {"answer": "given", "how": "page", "note": "Ms Kröger"},
        {"answer": "x", "how": "person", "note": "Ms Kröger"},
    ):
        answer = client.post(record, wrong)
        assert answer.status_code == 422
        assert answer.context["consent_form"].errors
    said = {"answer": "given", "how": "telephone", "note": "Ms Kröger, Tuesday at ten"}
    client.post(record, said)
    assert "on record already" in client.post(record, said, follow=True).content.decode()
    kept = ShowingConsent.objects.get()
    assert (kept.by, kept.how, kept.note) == (mira, "telephone", said["note"])
    last = HistoryEntry.objects.filter(job=job).last()
    assert (last.action, last.who) == ("showing.agreed", "mira")  # type: ignore[union-attr]
    client.post(record, {**said, "answer": "declined"})  # a no after a yes is a yes taken back
    assert consent.latest(job).answer == "withdrawn"  # type: ignore[union-attr]


@pytest.mark.long
def test_visitors_see_the_work_and_nothing_of_the_customer(job: Job, mira: Any) -> None:
    build = shown(job, mira)
    there = addresses(build)
    html = "".join(Client().get(one).content.decode() for one in ("/finished/", there[0]))
    assert "Teal on white" in html
    for done in ("Door handles in colour", "Paint sealed after the work", "Brannvik Haldor II"):
        assert done in html
    person = job.revision
    for private in (person.name, person.email, person.phone, person.registration, job.number, job.token):
        assert private not in html
    assert job.spec.token not in html
    for address in there[1:]:
        answer = Client().get(address)
        data = b"".join(answer.streaming_content)  # type: ignore[attr-defined]
        assert b"Lindenhof" not in data
        assert dict(Image.open(BytesIO(data)).getexif()) == {}
        assert "no-cache" in answer["Cache-Control"]
        assert Client().get(address, headers={"If-None-Match": answer["ETag"]}).status_code == 304
    german = Client().get(there[0], headers={"Accept-Language": "de"}).content.decode()
    assert "Petrol auf Weiß" in german
    assert "Handles." in german, "a text that is not translated is shown as it is"


@pytest.mark.long
def test_free_lines_of_the_workshop_are_not_listed(job: Job, mira: Any) -> None:
    line = FreeLine(number=1, label="Scratch of Ms Kröger's", amount=Decimal(80), hands_on_h=1, wait_h=0,
                    stage="refit", resource="bay", caution="", wheels=())  # fmt: skip
    workshop = snapshot.current().workshop
    assert workshop is not None
    folded = with_lines(evaluation_of(job.revision), [line], workshop)
    job.revision.evaluation = folded.kept()
    job.revision.save()
    found = selectors.shown(shown(Job.objects.get(pk=job.pk), mira))
    assert not any("Kröger" in text for text in found.done)
    assert any("handles" in text for text in found.done)


@pytest.mark.long
def test_prepared_is_seen_by_staff_alone_and_taken_down_is_gone_at_once(job: Job, mira: Any) -> None:
    build = shown(job, mira)
    assert not finishing.publish(job_id=job.pk, by=mira), "pressed twice"
    assert finishing.take_down(job_id=job.pk, by=mira)
    assert not finishing.take_down(job_id=job.pk, by=mira)
    staff, technician = Client(), Client()
    staff.force_login(mira)
    technician.force_login(factories.staff("technician"))
    for one in addresses(build):
        assert Client().get(one).status_code == 404
        assert technician.get(one).status_code == 404
        assert staff.get(one).status_code == 200
    assert "Teal on white" not in Client().get("/finished/").content.decode()
    assert Client().post(reverse("finished:begin", args=[build.address])).status_code == 404


@pytest.mark.long
def test_what_is_missing_is_said_and_the_last_photo_takes_it_down(job: Job, mira: Any) -> None:
    consent.answer_as_customer(job_id=job.pk, answer="given")
    build = finishing.prepared(job_id=job.pk)
    assert len(finishing.missing(build)) == 2
    with pytest.raises(UnmetError, match="title"):
        finishing.publish(job_id=job.pk, by=mira)
    build = shown(job, mira)
    for photo in build.photos.all():
        finishing.take_out(job_id=job.pk, photo_id=photo.pk)
    build.refresh_from_db()
    assert build.published_at is None
    with pytest.raises(UnmetError):
        finishing.take_out(job_id=job.pk, photo_id=1)


@pytest.mark.long
def test_covered_squares_are_gone_from_the_copy_and_its_old_address_with_them(job: Job, mira: Any) -> None:
    shown(job, mira)
    photo = ShownPhoto.objects.get(side="after")
    before = reverse("finished:photo", args=[photo.address, "large"])
    client, page = Client(), reverse("shop:finished_cover", args=[job.number, photo.pk])
    client.force_login(mira)
    assert 'value="C3"' in client.get(page).content.decode()
    client.post(page, {"square": ["C3", "C4", "Z9"]})
    photo.refresh_from_db()
    assert photo.covered == ["C3", "C4"]
    assert Client().get(before).status_code == 404
    now = Client().get(reverse("finished:photo", args=[photo.address, "large"]))
    image = Image.open(BytesIO(b"".join(now.streaming_content))).convert("L")  # type: ignore[attr-defined]
    low, high = image.crop((58, 64, 76, 82)).getextrema()
    assert high - low <= 8  # type: ignore[operator]
    original = reverse("shop:finished_original", args=[job.number, photo.pk])
    assert client.get(original).status_code == 200
    assert Client().get(original).status_code == 302
    client.post(page, {})  # nothing ticked: as it was
    photo.refresh_from_db()
    with photo.image.open("rb") as file:
        low, high = Image.open(file).convert("L").crop((58, 64, 76, 82)).getextrema()
    assert high - low > 40  # type: ignore[operator]


@pytest.mark.long
def test_one_like_it_begins_with_what_fits_and_says_what_did_not(job: Job, mira: Any) -> None:
    build = shown(job, mira)
    begin = reverse("finished:begin", args=[build.address])
    client = Client()
    url = client.post(begin, {"generation": "haldor-2"})["Location"]
    begun = Selection.model_validate(Spec.objects.latest("pk").selection)
    assert {"door-handles", "badge-front", "badge-rear", "paint-seal"} <= set(begun.options)
    assert (begun.accent, "standard-bumper" in begun.options) == ("fjord-teal", False)
    assert Spec.objects.latest("pk").contact == {}
    url = client.post(begin, {"generation": "whinchat-680"})["Location"]
    assert "does not go with this vehicle and was left out" in client.get(url).content.decode()
    for odd in ("", "no-such", "\x00"):
        assert client.post(begin, {"generation": odd}).status_code == 404


@pytest.mark.long
def test_links_lead_there_only_while_there_is_something_to_see(job: Job, mira: Any) -> None:
    assert "/finished/" not in Client().get("/").content.decode()
    assert "There is nothing to show yet" in Client().get("/finished/").content.decode()
    shown(job, mira)
    assert Client().get("/").content.decode().count('href="/finished/"') == 2
    consent.answer_as_customer(job_id=job.pk, answer="withdrawn")
    assert "/finished/" not in Client().get("/").content.decode()


@pytest.mark.long
def test_the_pages_of_staff_prepare_show_and_delete_it(job: Job, mira: Any) -> None:
    client = Client()
    client.force_login(mira)
    page = reverse("shop:finished_one", args=[job.number])
    assert job.number in client.get(reverse("shop:finished")).content.decode()
    assert "has not answered yet" in client.get(page).content.decode()
    consent.answer_as_customer(job_id=job.pk, answer="given")
    assert client.post(page, {"title": "", "text": "x"}).context["form"].errors == {
        "title": ["This field is required."]
    }
    client.post(page, {"title": "Teal", "text": "", "de-title": "Petrol"})
    choose = reverse("shop:finished_choose", args=[job.number])
    key = finishing.sources(job)[0].key
    for _twice in range(2):
        client.post(choose, {"key": key, "side": "before"})
    client.post(choose, {"key": key, "side": "after"})
    assert ShownPhoto.objects.get().side == "after"
    for wrong in ({"key": "own-999", "side": "before"}, {"key": key, "side": "x"}, {"side": "after"}):
        assert client.post(choose, wrong, follow=True).status_code == 200
    broken = BytesIO(b"no photo")
    broken.name = "a.jpg"
    client.post(choose, {"photo": broken, "side": "after"})
    assert ShownPhoto.objects.count() == 1
    act = reverse("shop:finished_act", args=[job.number])
    assert "Visitors see it now." in client.post(act, {"do": "publish"}, follow=True).content.decode()
    assert selectors.is_any()
    client.post(act, {"do": "down"})
    client.post(act, {"do": "throw-away"})
    client.post(act, {"do": "nonsense"})
    assert not FinishedBuild.objects.exists()
    assert consent.stands(job), "the consent stays on record"
