"""Sealing the guide: whoever has no secret can neither read it nor change it unseen.

AES in its synthetic-IV mode (AES-SIV, RFC 5297), from the library ``cryptography``: the same guide under the
same secret gives the same file.
"""

from __future__ import annotations

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESSIV

from faultwright.errors import Mistake, Refused

from .draws import derived

_MARK = b"faultwright sealed 2\n"


def _cipher(secret: bytes) -> AESSIV:
    return AESSIV(derived(secret, "seal", "first half") + derived(secret, "seal", "second half"))


def seal(content: bytes, secret: bytes) -> bytes:
    """Return the sealed form of ``content``."""
    return _MARK + _cipher(secret).encrypt(content, [_MARK])


def unseal(sealed: bytes, secret: bytes, place: str) -> bytes:
    """Return what was sealed. Raises Refused where the file is no such thing, was changed, or has another secret."""
    try:
        return _cipher(secret).decrypt(sealed.removeprefix(_MARK), [sealed[: len(_MARK)]])
    except (InvalidTag, ValueError):  # ValueError: too short to be anything sealed
        raise Refused(Mistake("this was sealed with another secret, or changed since", place)) from None
