"""Files on a bucket that machines share, answered by a server that speaks S3."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO

import boto3
import pytest
from django.core.files.storage import default_storage
from django.test import Client
from moto.server import ThreadedMotoServer
from PIL import Image

from configurator.builds import photos
from configurator.models import Photo, Spec
from shop.site.storage import storages
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def bucket(settings, monkeypatch: pytest.MonkeyPatch, tmp_path) -> Iterator[None]:
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    endpoint = "http://{}:{}".format(*server.get_host_and_port())
    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.setenv(name, "only-for-tests")
    boto3.client("s3", endpoint_url=endpoint, region_name="us-east-1").create_bucket(Bucket="shop")
    url = f"s3://shop/files?endpoint={endpoint}&region=us-east-1"
    settings.STORAGES = storages(url, static=tmp_path)
    yield
    server.stop()


@pytest.mark.long
def test_a_photo_goes_to_the_bucket_and_is_given_out_by_the_site_alone(bucket: None) -> None:
    job = factories.job()
    Spec.objects.update(sent_at=None)
    out = BytesIO()
    Image.new("RGB", (320, 240), (90, 120, 60)).save(out, "JPEG")
    photo = photos.add_photo(spec_id=job.spec_id, file=BytesIO(out.getvalue()))
    photo.refresh_from_db()
    assert photo.state == "ready"
    folders, files = default_storage.listdir("photos")
    assert (folders, len(files)) == ([], 2)  # the clean copies; the raw upload is gone

    manager = Client()
    manager.force_login(factories.staff("manager"))
    shown = manager.get(f"/workshop/jobs/{job.number}/photos/{photo.token}/large/")
    assert Image.open(BytesIO(b"".join(shown.streaming_content))).size == (320, 240)
    assert Client().get(f"/workshop/jobs/{job.number}/photos/{photo.token}/large/").status_code == 302

    photos.remove_photo(photo_id=photo.pk)
    assert default_storage.listdir("photos") == ([], [])
    assert not Photo.objects.exists()
