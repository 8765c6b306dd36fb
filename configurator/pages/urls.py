"""The customer's addresses."""

from django.urls import URLPattern, path

from . import (
    device,
    views,
    views_advice,
    views_build,
    views_confirm,
    views_lists,
    views_looks,
    views_photos,
    views_share,
)

app_name = "configurator"
urlpatterns: list[URLPattern] = [
    path("", views.start, name="start"),
    path("forget-device/", device.forget, name="forget_device"),
    path("privacy/", views.privacy, name="privacy"),
    path("preferences/", views.preferences, name="preferences"),
    path("begin/<str:generation>/", views_build.begin, name="begin"),
    path("looks/<str:code>.svg", views_looks.picture, name="look_picture"),
    path("build/<slug:token>/", views_build.build, name="build"),
    path("build/<slug:token>/waiting/", views_confirm.waiting, name="waiting"),
    path("confirm/<slug:token>/", views_confirm.confirm, name="confirm"),
    path("build/<slug:token>/compare/", views_share.compare, name="compare"),
    path("build/<slug:token>/advice/<str:position>/", views_advice.axle_advice, name="advice"),
    path("build/<slug:token>/list/<slug:name>/", views_lists.part_list, name="list"),
    path("build/<slug:token>/section/<str:position>.svg", views_share.section, name="section"),
    path("build/<slug:token>/photos/", views_photos.add, name="photos"),
    path("build/<slug:token>/photos/<slug:photo>/", views_photos.item, name="photo"),
    path("build/<slug:token>/photos/<slug:photo>/image/", views_photos.image, name="photo_image"),
    path("build/<slug:token>/photos/<slug:photo>/rotate/", views_photos.rotate, name="photo_rotate"),
    path("build/<slug:token>/photos/<slug:photo>/remove/", views_photos.remove, name="photo_remove"),
    path("share/<slug:token>/", views_share.share, name="share"),
    path("share/<slug:token>/begin/", views_share.start_like, name="start_like"),
    path("share/<slug:token>/card.png", views_share.card, name="card"),
]
