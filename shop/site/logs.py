"""Logs: plain lines for a person, or one JSON object a line for machines, each with its request's id."""

from __future__ import annotations

import logging
import re
import secrets
from collections.abc import Callable
from contextvars import ContextVar
from typing import Any

from django.http import HttpRequest, HttpResponse

request_id: ContextVar[str] = ContextVar("request_id", default="-")
# Private links stand in addresses: a token in a log would be a key left lying about.
PRIVATE = re.compile(r"/(job|build|confirm|share|calendar)/[\w-]{16,}")
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
    """Put the request's id on each record and take private links out of its text."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record pass."""
        record.request_id = request_id.get()
        if isinstance(record.args, tuple):
            record.args = tuple(without_tokens(a) if isinstance(a, str) else a for a in record.args)
        if isinstance(record.msg, str):
            record.msg = without_tokens(record.msg)
        return True


def logging_config(form: str) -> dict[str, Any]:
    """Return Django's ``LOGGING``; ``form`` is ``json`` or anything else for plain lines."""
    plain = {"format": "%(asctime)s %(levelname)s %(name)s [%(request_id)s] %(message)s"}
    as_json = {
        "()": "pythonjsonlogger.json.JsonFormatter",
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
    sentry_sdk.init(dsn=dsn, send_default_pii=False, max_request_body_size="never")
