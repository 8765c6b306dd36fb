"""The whole site's addresses."""

from django.contrib import admin
from django.contrib.auth.views import LoginView
from django.urls import include, path

from . import health, security

urlpatterns = [
    path("", include("configurator.pages.urls")),
    path("workshop/", include("shop.urls")),
    path("job/", include("shop.tracking.urls")),
    path("sign-in/", LoginView.as_view(template_name="registration/login.html"), name="login"),
    path("sign-out/", security.SignOut.as_view(), name="logout"),
    path("i18n/", include("django.conf.urls.i18n")),
    path("healthz", health.healthz, name="healthz"),
    path("readyz", health.readyz, name="readyz"),
    path("metrics", health.metrics, name="metrics"),
    path(".well-known/security.txt", security.security_txt, name="security_txt"),
    path("admin/", admin.site.urls),
]
