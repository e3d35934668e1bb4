"""Pairing: codes that are good once, tokens, and guessing."""

import pytest

from otherseat.daemon.panel.pairing import (
    ALPHABET,
    CODE_SIGNS,
    TRIES,
    TRIES_WITHIN_S,
    Pairing,
    Role,
    TooManyTriesError,
    WrongCodeError,
    plain_code,
)


class Clock:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        """Return the time."""
        return self.now_s


@pytest.mark.parametrize("role", Role)
def test_a_code_gives_its_role_once(role: Role) -> None:
    """A code pairs one browser with its role, and is then good for nothing."""
    pairing = Pairing()
    code = pairing.code(role)

    token, given = pairing.pair(code)

    assert role is given
    assert role is pairing.role(token)
    with pytest.raises(WrongCodeError):
        pairing.pair(code)


def test_a_used_code_is_replaced_and_shown() -> None:
    """Who runs the panel is told the next code of that role, and the other role's stays."""
    shown: list[tuple[Role, str]] = []
    pairing = Pairing(on_new_code=lambda role, code: shown.append((role, code)))
    viewer = pairing.code(Role.VIEWER)

    pairing.pair(pairing.code(Role.OPERATOR))

    assert [(Role.OPERATOR, pairing.code(Role.OPERATOR))] == shown
    assert viewer == pairing.code(Role.VIEWER)


@pytest.mark.parametrize("token", [None, "", "x", "A" * 43])
def test_a_stranger_has_no_role(token: str | None) -> None:
    """A token that was never given out has no role."""
    assert Pairing().role(token) is None


def test_guessing_is_stopped() -> None:
    """After TRIES wrong codes even the right one is refused, until the first of them is TRIES_WITHIN_S old."""
    clock = Clock()
    pairing = Pairing(clock=clock)
    for _ in range(TRIES):
        with pytest.raises(WrongCodeError):
            pairing.pair("AAAA-AAAA")

    clock.now_s = TRIES_WITHIN_S - 0.1
    with pytest.raises(TooManyTriesError):
        pairing.pair(pairing.code(Role.VIEWER))

    clock.now_s = TRIES_WITHIN_S
    assert Role.VIEWER is pairing.pair(pairing.code(Role.VIEWER))[1]


def test_a_code_may_be_typed_as_people_type() -> None:
    """Small letters, blanks and dashes make no difference; letters that look like figures don't occur."""
    pairing = Pairing()
    code = pairing.code(Role.VIEWER)

    assert Role.VIEWER is pairing.pair(f" {code.lower().replace('-', ' ')} ")[1]
    assert CODE_SIGNS == len(plain_code(code))
    assert not set("ILO01U") & set(ALPHABET)


@pytest.mark.parametrize(
    "typed", ["", "ßßßßßßßß", "\x00" * 8, "\N{MATHEMATICAL DOUBLE-STRUCK DIGIT TWO}" * 8, "A" * 10_000]
)
def test_nonsense_is_a_wrong_code(typed: str) -> None:
    """Whatever is typed, the answer is no."""
    with pytest.raises(WrongCodeError):
        Pairing().pair(typed)
