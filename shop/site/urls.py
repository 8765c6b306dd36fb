"""The whole site's addresses."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

from shop.accounts.urls import door_patterns
from shop.opening.urls import look_patterns
from shop.tracking.urls import feed_patterns

from . import health, security

handler500 = "shop.site.faults.server_error"
urlpatterns = [
    path("", include("configurator.pages.urls")),
    path("workshop/", include("shop.urls")),
    path("job/", include("shop.tracking.urls")),
    path("finished/", include("shop.showcase.urls_public")),
    path("not-listed/", include("shop.wanted.urls")),
    *feed_patterns,
    *door_patterns,
    *look_patterns,
    path("sign-out/", security.SignOut.as_view(), name="logout"),
    path("i18n/", include("django.conf.urls.i18n")),
    path("healthz", health.healthz, name="healthz"),
    path("readyz", health.readyz, name="readyz"),
    path("metrics", health.metrics, name="metrics"),
    path(".well-known/security.txt", security.security_txt, name="security_txt"),
    # One door for all: whoever comes to the admin site signs in like everybody else.
    path("admin/login/", RedirectView.as_view(pattern_name="login", query_string=True)),
    path("admin/", admin.site.urls),
]
