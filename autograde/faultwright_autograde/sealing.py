"""Sealing the guide: whoever has no secret can neither read it nor change it unseen.

HMAC-SHA256 in counter mode hides the text, and an HMAC over nonce and text seals it (encrypt, then
authenticate). The nonce follows from the content, so the same guide gives the same file.
"""

from __future__ import annotations

import hashlib
import hmac

from faultwright.errors import Mistake, Refused

from .draws import derived

_MARK = b"faultwright sealed 1\n"
_NONCE, _SEAL = 16, 32


def seal(content: bytes, secret: bytes) -> bytes:
    """Return the sealed form of ``content``."""
    nonce = hmac.digest(derived(secret, "seal", "nonce"), content, hashlib.sha256)[:_NONCE]
    hidden = _hidden(content, secret, nonce)
    return _MARK + nonce + _sealing(nonce + hidden, secret) + hidden


def unseal(sealed: bytes, secret: bytes, place: str) -> bytes:
    """Return what was sealed. Raises Refused where the file is no such thing, was changed, or has another secret."""
    body = sealed.removeprefix(_MARK)
    nonce, found, hidden = body[:_NONCE], body[_NONCE : _NONCE + _SEAL], body[_NONCE + _SEAL :]
    if len(body) == len(sealed) or not hmac.compare_digest(found, _sealing(nonce + hidden, secret)):
        raise Refused(Mistake("this was sealed with another secret, or changed since", place))
    return _hidden(hidden, secret, nonce)


def _sealing(content: bytes, secret: bytes) -> bytes:
    return hmac.digest(derived(secret, "seal", "seal"), content, hashlib.sha256)


def _hidden(content: bytes, secret: bytes, nonce: bytes) -> bytes:
    """Exchange plain and hidden: the same operation both ways."""
    key = derived(secret, "seal", "hide")
    blocks = range(0, len(content), 32)
    stream = b"".join(hmac.digest(key, nonce + start.to_bytes(8, "big"), hashlib.sha256) for start in blocks)
    return bytes(one ^ other for one, other in zip(content, stream, strict=False))
