"""What every test shares."""

import pytest
from hypothesis import settings as hypothesis_settings

hypothesis_settings.register_profile("default", max_examples=60, deadline=None)
hypothesis_settings.load_profile("default")


@pytest.fixture(autouse=True)
def _own_folders(settings, tmp_path):
    """Keep mail and media of each test in a folder of its own."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.EMAIL_FILE_PATH = str(tmp_path / "mail")
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
