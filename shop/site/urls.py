"""The whole site's addresses."""

from django.contrib import admin
from django.contrib.auth.views import LoginView, LogoutView
from django.urls import include, path

urlpatterns = [
    path("", include("configurator.pages.urls")),
    path("workshop/", include("shop.urls")),
    path("job/", include("shop.tracking.urls")),
    path("sign-in/", LoginView.as_view(template_name="registration/login.html"), name="login"),
    path("sign-out/", LogoutView.as_view(), name="logout"),
    path("i18n/", include("django.conf.urls.i18n")),
    path("admin/", admin.site.urls),
]
