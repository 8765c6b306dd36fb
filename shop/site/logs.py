"""Logs: plain lines for a person, or one JSON object a line for machines, each with its request's id."""

from __future__ import annotations

import logging
import re
import secrets
from collections.abc import Callable
from contextvars import ContextVar
from typing import Any

from django.http import HttpRequest, HttpResponse
from pythonjsonlogger.json import JsonFormatter

request_id: ContextVar[str] = ContextVar("request_id", default="-")
# Private links stand in addresses: a token in a log would be a key left lying about.
PRIVATE = re.compile(
    r"/(job/new-address|job|build|confirm|share|calendar|not-listed|sign-in/set)/([\w-]{16,}|[\w-]+/[\w-]{16,})"
)
GIVEN = re.compile(r"[\w-]{8,64}")


def with_request_id(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Give each request an id, the proxy's where it sent one, and name it in logs and in the answer."""

    def middleware(request: HttpRequest) -> HttpResponse:
        given = request.headers.get("X-Request-ID", "")
        token = request_id.set(given if GIVEN.fullmatch(given) else secrets.token_hex(8))
        try:
            response = get_response(request)
            response.headers["X-Request-ID"] = request_id.get()
            return response
        finally:
            request_id.reset(token)

    return middleware


def without_tokens(text: str) -> str:
    """Return the text with the tokens of private links taken out."""
    return PRIVATE.sub(r"/\1/…", text)


class RequestFilter(logging.Filter):
    """Put the request's id on each record and take private links out of its text and its request."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record pass."""
        record.request_id = request_id.get()
        if isinstance(record.args, tuple):
            record.args = tuple(without_tokens(a) if isinstance(a, str) else a for a in record.args)
        if isinstance(record.msg, str):
            record.msg = without_tokens(record.msg)
        if hasattr(record, "request"):
            record.request = without_tokens(str(record.request))
        return True


class _WithoutTokens(logging.Formatter):
    """A fault's own words may tell an address as well."""

    def formatException(self, ei: Any) -> str:  # noqa: N802 - the library's name
        """Return the traceback without the tokens of private links."""
        return without_tokens(super().formatException(ei))


class Plain(_WithoutTokens):
    """Lines for a person."""


class Json(_WithoutTokens, JsonFormatter):
    """One object a line."""


def logging_config(form: str) -> dict[str, Any]:
    """Return Django's ``LOGGING``; ``form`` is ``json`` or anything else for plain lines."""
    plain = {
        "()": "shop.site.logs.Plain",
        "fmt": "%(asctime)s %(levelname)s %(name)s [%(request_id)s] %(message)s",
    }
    as_json = {
        "()": "shop.site.logs.Json",
        "fmt": "%(asctime)s %(levelname)s %(name)s %(request_id)s %(message)s",
    }
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "filters": {"request": {"()": "shop.site.logs.RequestFilter"}},
        "formatters": {"console": as_json if form == "json" else plain},
        "handlers": {
            "console": {"class": "logging.StreamHandler", "formatter": "console", "filters": ["request"]}
        },
        # A refused page tells its visitor that the fault was written down: it is, with its traceback.
        "loggers": {"django.request": {"handlers": ["console"], "level": "ERROR", "propagate": False}},
        "root": {"handlers": ["console"], "level": "WARNING"},
    }


def report_errors(dsn: str) -> None:
    """Send faults to an error collector, where its client (the ``errors`` extra) is installed.

    Raises ImportError with what to install otherwise: a monitor that silently is none helps nobody.
    """
    try:
        import sentry_sdk
    except ImportError as error:
        raise ImportError("KERBLINE_ERRORS_DSN needs the extra: pip install sentry-sdk") from error
    sentry_sdk.init(
        dsn=dsn,
        send_default_pii=False,
        max_request_body_size="never",
        before_send=lambda event, hint: scrubbed(event),
    )


def scrubbed(told: Any) -> Any:
    """Return a fault as it is reported, with the tokens of private links taken out of every text in it."""
    if isinstance(told, str):
        return without_tokens(told)
    if isinstance(told, dict):
        return {name: scrubbed(value) for name, value in told.items()}
    return [scrubbed(one) for one in told] if isinstance(told, list | tuple) else told
