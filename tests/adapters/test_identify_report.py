"""The report on a stream, in words."""

import pytest

from otherseat.adapters.identify.report import counts


@pytest.mark.parametrize(
    ("sizes", "said"),
    [
        pytest.param([(204, 408)], ", each 204 bytes long", id="one"),
        pytest.param(
            [(204, 205), (205, 202), (9, 1)],
            "; lengths: 204 bytes (205 times), 205 bytes (202 times), 9 bytes (once)",
            id="several",
        ),
        pytest.param(
            [(204, 205), (205, 200)],
            "; lengths: 204 bytes (205 times), 205 bytes (200 times), others (3 times)",
            id="more-than-are-named",
        ),
    ],
)
def test_a_length_is_not_taken_for_a_count(sizes: list[tuple[int, int]], said: str) -> None:
    """How long datagrams are and how often they came can't be read as a share: "205 of 204 bytes" was."""
    facts = {"datagrams": 408, "seconds": 20.4, "rate_hz": 20.0, "sizes": sizes}

    assert f"408 datagrams in 20 s, 20.0 a second{said}" == counts(facts)
