"""The page on writing an adapter is true: its text runs."""

import re
from importlib import resources

import pytest


def test_the_page_runs() -> None:
    """The adapter on the page decodes its sample and passes the trial on the page."""
    page = (resources.files("otherseat.adapters") / "writing.md").read_text(encoding="utf-8")
    adapter, trial = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    names: dict[str, object] = {}
    exec(adapter + trial, names)  # noqa: S102 - the page's own text is what is tested
    decoder = names["ADAPTER"].make({})  # type: ignore[attr-defined]  # made by the page

    assert [{"latitude_deg": pytest.approx(45.0), "longitude_deg": pytest.approx(-45.0)}] == decoder.decode(
        names["SAMPLE"]
    )
