"""What a device knows of its visitor, in its session: builds begun, builds sent, addresses confirmed.

The session holds keys of rows and digests, never the token of a link: it stands in the database.
"""

from __future__ import annotations

from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from configurator.builds.models import BUILD_LINK, Spec

BUILDS, KEPT = "builds", 10


def remember(request: HttpRequest, spec: Spec) -> None:
    """Keep the build among this browser's last ones."""
    known = request.session.get(BUILDS, [])
    if spec.pk not in known[:1]:
        request.session[BUILDS] = [spec.pk, *(one for one in known if one != spec.pk)][:KEPT]


def remembered(request: HttpRequest) -> QuerySet[Spec]:
    """Return the builds that this browser has begun or opened."""
    known = request.session.get(BUILDS, [])
    keys = [one for one in known if isinstance(one, int)]
    # Sessions begun before keys were kept hold the tokens themselves.
    tokens = [one for one in known if isinstance(one, str)]
    return Spec.objects.filter(Q(pk__in=keys) | BUILD_LINK.q(*tokens))


@require_POST
def forget(request: HttpRequest) -> HttpResponse:
    """Have this device forget its visitor; links in mails go on working."""
    request.session.flush()
    response = HttpResponseRedirect(reverse("configurator:start") + "?forgotten=1")
    response.headers["Clear-Site-Data"] = '"cache", "storage"'
    return response
