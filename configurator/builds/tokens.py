"""Keys of private links: made anew from a secret when a mail needs them, and never stored.

A row keeps a random ``nonce`` and the digest of its token. The token is an HMAC of the nonce under
``SECRET_KEY`` and the kind of link: later mails can carry it again, while somebody who only has the
database, or a backup of it, can neither read nor make one. A link that came is found by its digest.
"""

from __future__ import annotations

import base64
import hashlib
import secrets

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
