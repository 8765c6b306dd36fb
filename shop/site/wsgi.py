"""WSGI entry point."""

import os

from django.core.wsgi import get_wsgi_application

from . import clock

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.site.settings")
application = get_wsgi_application()
clock.start()
