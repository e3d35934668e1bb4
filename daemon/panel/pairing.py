"""Pairing: one-time codes that turn a stranger's browser into a viewer or an operator.

Code      eight signs that can't be mistaken for one another, shown in the terminal; good once, then a new one takes
          its place. About 39 bits, and TRIES wrong ones a minute at most, from all browsers together
Token     256 random bits in a cookie; only its hash is kept, and only until the panel ends
"""

import hashlib
import hmac
import secrets
import time
from collections import deque
from collections.abc import Callable
from enum import StrEnum

ALPHABET = "ABCDEFGHJKMNPQRSTVWXYZ23456789"
CODE_SIGNS = 8
TRIES = 5
TRIES_WITHIN_S = 60.0
DEVICES = 100
"""Paired browsers remembered; the oldest is forgotten first."""


class Role(StrEnum):
    """What a browser may do."""

    VIEWER = "viewer"
    OPERATOR = "operator"


class WrongCodeError(Exception):
    """No code of ours."""


class TooManyTriesError(Exception):
    """Too many wrong codes in a minute: nobody is paired for a while."""


class Pairing:
    """The codes that are open and the browsers that used one."""

    def __init__(
        self, *, clock: Callable[[], float] = time.monotonic, on_new_code: Callable[[Role, str], None] | None = None
    ) -> None:
        self._clock = clock
        self._on_new_code = on_new_code
        self._codes: dict[Role, str] = {role: new_code() for role in Role}
        self._roles: dict[bytes, Role] = {}
        self._wrong_s: deque[float] = deque(maxlen=TRIES)

    def code(self, role: Role) -> str:
        """Return the code that is open for a role, as a person reads it."""
        code = self._codes[role]
        return f"{code[: CODE_SIGNS // 2]}-{code[CODE_SIGNS // 2 :]}"

    def pair(self, code: str) -> tuple[str, Role]:
        """Take a code and return a token for the cookie and its role; raise WrongCodeError or TooManyTriesError."""
        now_s = self._clock()
        if len(self._wrong_s) == TRIES and now_s - self._wrong_s[0] < TRIES_WITHIN_S:
            raise TooManyTriesError
        role = self._role_of_code(plain_code(code))
        if role is None:
            self._wrong_s.append(now_s)
            raise WrongCodeError
        self._codes[role] = new_code()
        if self._on_new_code is not None:
            self._on_new_code(role, self.code(role))
        token = secrets.token_urlsafe(32)
        self._roles[_digest(token)] = role
        if len(self._roles) > DEVICES:
            self._roles.pop(next(iter(self._roles)))
        return token, role

    def role(self, token: str | None) -> Role | None:
        """Return what the holder of a token may do, None for a stranger."""
        return None if token is None else self._roles.get(_digest(token))

    def _role_of_code(self, code: str) -> Role | None:
        matches = [role for role, own in self._codes.items() if hmac.compare_digest(own.encode(), code.encode())]
        return matches[0] if matches else None


def new_code() -> str:
    """Draw a code."""
    return "".join(secrets.choice(ALPHABET) for _ in range(CODE_SIGNS))


def plain_code(typed: str) -> str:
    """Return what was typed without the dash, blanks and small letters."""
    return "".join(sign for sign in typed.upper() if sign.isascii() and sign.isalnum())


def _digest(token: str) -> bytes:
    return hashlib.sha256(token.encode()).digest()
