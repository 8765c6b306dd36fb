"""Addresses of accounts: at the door, and the manager's pages."""

from django.urls import URLPattern, path, re_path

from . import views, views_people

door_patterns: list[URLPattern] = [
    path("sign-in/", views.SignIn.as_view(), name="login"),
    path("sign-in/code/", views.second_factor, name="second_factor"),
    path("sign-in/forgotten/", views.Forgotten.as_view(), name="password_forgotten"),
    path("sign-in/forgotten/sent/", views.password_asked, name="password_asked"),
    path("sign-in/set/<uidb64>/<token>/", views.SetPassword.as_view(), name="password_set"),
    path("sign-in/account/", views.account, name="account"),
    path("sign-in/account/preferences/", views.prefer, name="prefer"),
    path("sign-in/account/password/", views.ChangePassword.as_view(), name="password_change"),
    path("sign-in/account/everywhere/", views.everywhere, name="sign_out_everywhere"),
]
people_patterns: list[URLPattern] = [
    path("", views_people.people, name="people_accounts"),
    path("sign-ins/", views_people.sign_ins, name="sign_ins"),
    path("<int:user_id>/", views_people.person, name="person_account"),
    path("<int:user_id>/sign-ins/", views_people.sign_ins_of, name="sign_ins_of"),
    re_path(
        r"^(?P<user_id>\d+)/(?P<name>again|drop-code|open|shut)/$", views_people.deed, name="account_deed"
    ),
]
