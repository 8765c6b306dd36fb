"""Keys of private links: made anew from a secret when a mail needs them, and never stored.

A row keeps a random ``nonce`` and the digest of its token. The token is an HMAC of the nonce under
``SECRET_KEY`` and the kind of link: later mails can carry it again, while somebody who only has the
database, or a backup of it, can neither read nor make one. A link that came is found by its digest.
"""

from __future__ import annotations

import base64
import hashlib
import secrets
from typing import NoReturn, overload

from django.db.models import Model, Q
from django.utils.crypto import salted_hmac

TOKEN_BYTES = 24


def new_nonce() -> str:
    """Return what one link's token is made from (144 random bits)."""
    return secrets.token_urlsafe(18)


def token_of(kind: str, nonce: str) -> str:
    """Return the token of a link: 32 characters that stand in an address as they are (192 bits)."""
    made = salted_hmac(f"kerbline.link.{kind}", nonce, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(made[:TOKEN_BYTES]).decode()


def digest_of(token: str) -> str:
    """Return what is stored of a token. It holds 192 bits, so that no salt or slowness is needed."""
    return hashlib.sha256(token.encode()).hexdigest()


class Link:
    """A private link of a model's rows, declared as ``token = Link("kind")``: reading it makes the token.

    The model has three fields, each with ``prefix`` before it: ``nonce``, ``digest`` (unique) and
    ``old_digest`` (unique or empty), of a link given out before, which works until the next renewal. Where
    the secret is another than when the link was made (a backup put back on a new machine), the token is
    made under the new one and the old link works on as ``old_digest``.
    """

    def __init__(self, kind: str, prefix: str = "") -> None:
        self.kind = kind
        self.nonce, self.digest, self.old = f"{prefix}nonce", f"{prefix}digest", f"{prefix}old_digest"

    @property
    def fields(self) -> tuple[str, str, str]:
        """The names of the fields, for ``save(update_fields=…)`` after ``renew``."""
        return self.nonce, self.digest, self.old

    @overload
    def __get__(self, row: None, owner: type) -> Link: ...
    @overload
    def __get__(self, row: Model, owner: type) -> str: ...
    def __get__(self, row: Model | None, owner: type) -> Link | str:
        """Return the row's token."""
        if row is None:
            return self
        token = token_of(self.kind, getattr(row, self.nonce))
        if getattr(row, self.digest) != digest_of(token):
            self._rekey(row, token)
        return token

    def __set__(self, row: Model, value: str) -> NoReturn:
        """Refuse: a token is made, never given."""
        raise AttributeError("a private link is renewed, not set")

    def fill(self, row: Model) -> None:
        """Give a new row its digest; for ``save``."""
        if not getattr(row, self.digest):
            setattr(row, self.digest, digest_of(token_of(self.kind, getattr(row, self.nonce))))

    def renew(self, row: Model) -> None:
        """Make a new link: no other opens anything from then on. The caller saves ``fields``."""
        for name, value in ((self.nonce, new_nonce()), (self.digest, ""), (self.old, None)):
            setattr(row, name, value)
        self.fill(row)

    def q(self, *tokens: str, through: str = "") -> Q:
        """Return the condition that finds the row of a token; ``through`` leads to the row, as ``spec__``."""
        digests = [digest_of(token) for token in tokens]
        return Q(**{f"{through}{self.digest}__in": digests}) | Q(**{f"{through}{self.old}__in": digests})

    def _rekey(self, row: Model, token: str) -> None:
        before, now = getattr(row, self.digest), digest_of(token)
        setattr(row, self.digest, now)
        if row.pk is None or not before:
            return
        same = type(row)._base_manager.filter(pk=row.pk, **{self.digest: before})
        if same.update(**{self.digest: now, self.old: before}):
            setattr(row, self.old, before)
