"""The summary of the published values: python -m tests.standards.table.

One line a topic: how many cases and values were judged, how many cases were left out by name, and the value that uses
most of its tolerance. Printed as a Markdown table, for the contributors' guide.
"""

from tests.standards.topic import Judged, Topic
from tests.standards.topics import topics

HEAD = (
    "| topic | cases | values | left out | closest to its tolerance | error | tolerance |",
    "| --- | ---: | ---: | ---: | --- | ---: | ---: |",
)


def line(topic: Topic) -> tuple[str, list[Judged]]:
    """Return a topic's line, and what it was made of."""
    cases = topic.judged_cases()
    judged = [value for case in cases for value in topic.judge(case)]
    left_out = len(topic.cases()) - len(cases)
    worst = max(judged, key=lambda value: value.share)
    shown = f"{worst.case.id} {worst.key} | {worst.error:.2g} | {worst.tolerance:.2g}"
    if worst.error == 0.0:
        shown = "all exact | 0 | 0"
    return f"| {topic.name} | {len(cases)} | {len(judged)} | {left_out} | {shown} |", judged


def lines() -> list[str]:
    """Return the table."""
    made = [line(topic) for topic in topics()]
    cases = {value.case.id for _, judged in made for value in judged}
    values = sum(len(judged) for _, judged in made)
    return [*HEAD, *(text for text, _ in made), f"| all | {len(cases)} | {values} | | | | |"]


if __name__ == "__main__":
    print("\n".join(lines()))  # noqa: T201 - a command's output
