"""Where a request comes from, in a form that a visitor cannot choose."""

from __future__ import annotations

from ipaddress import IPv6Address, IPv6Network, ip_address

from django.conf import settings
from django.http import HttpRequest


def visitor_address(request: HttpRequest) -> str:
    """Return the visitor's network address; an IPv6 one as its /64, which is one household's or one phone's.

    Behind ``KERBLINE_PROXIES`` proxies of our own it is the entry of ``X-Forwarded-For`` that the outermost
    of them wrote, counted from the end: what stands before it is the visitor's own claim. Without proxies
    the header counts for nothing. A header that is missing or makes no sense leaves the connection's own.
    """
    connection = str(request.META.get("REMOTE_ADDR", ""))
    given = [part.strip() for part in str(request.META.get("HTTP_X_FORWARDED_FOR", "")).split(",")]
    count = settings.KERBLINE_PROXIES
    claimed = given[-count] if 0 < count <= len(given) else ""
    return _plain(claimed) or _plain(connection)


def _plain(text: str) -> str:
    try:
        address = ip_address(text)
    except ValueError:
        return ""
    if isinstance(address, IPv6Address):
        if address.ipv4_mapped:
            return str(address.ipv4_mapped)
        return str(IPv6Network((address, 64), strict=False).network_address)
    return str(address)
