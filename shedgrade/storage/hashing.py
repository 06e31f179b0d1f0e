"""What is kept of a password or a PIN: a slow hash of it, so that a stolen database tells neither.

It stands in storage because it says what is stored: the domain may lean on no library, and both the actions that write
a new one and the pages that ask for it stand above. Argon2id at 19 MiB and two rounds takes some 30 ms of one core:
whoever calls from a page does so in :mod:`shedgrade.web.proving`'s one thread, and holds no database session meanwhile.
"""

import unicodedata

from pwdlib import PasswordHash
from pwdlib.hashers.argon2 import Argon2Hasher

from shedgrade.domain.sign_in import LONGEST_PASSWORD

# The least of the settings that OWASP's Password Storage Cheat Sheet gives for Argon2id; from memory.
_KIB, _ROUNDS, _LANES = 19_456, 2, 1
_HASHER = PasswordHash([Argon2Hasher(memory_cost=_KIB, time_cost=_ROUNDS, parallelism=_LANES)])

# A hash that no password has: 16 bytes of salt and 32 of hash, all zero. Somebody who is not in the books is checked
# against it, which takes as long as checking somebody who is.
NOBODYS = f"$argon2id$v=19$m={_KIB},t={_ROUNDS},p={_LANES}${'A' * 22}${'A' * 43}"


def hash_of(secret: str) -> str:
    """What to keep of a new password or PIN."""
    return _HASHER.hash(_written(secret))


def fits(secret: str, kept: str) -> bool:
    """Whether the password or PIN is the one kept; with nothing kept ("") never, at the same cost."""
    return _HASHER.verify(_written(secret), kept or NOBODYS) and kept != ""


def _written(secret: str) -> str:
    """However the keyboard makes its letters, and without spaces at the ends; what is longer than a password can be
    stays too long to fit."""
    return unicodedata.normalize("NFKC", secret.strip()[: LONGEST_PASSWORD + 1])
