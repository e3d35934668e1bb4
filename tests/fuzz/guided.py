"""The targets of test_fuzz.py, led by what the code does with each input: `python -m tests.fuzz.guided "plan line"`.

Needs `pip install atheris` (no wheel for Windows), which measures what an input reaches and damages those further that
reach something new. Without names every target is tried, each in a process of its own, as many at once as there are
processors. What ends in anything but a result or the documented error is kept in a file, and its name and trace are
printed.
"""

import contextlib
import os
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import click


@click.command()
@click.argument("names", nargs=-1)
@click.option("--seconds", default=60, show_default=True, help="For each target.")
def main(names: tuple[str, ...], *, seconds: int) -> None:
    """Try targets for long."""
    if len(names) == 1:
        guide(names[0], seconds=seconds)
        return
    from tests.fuzz.test_fuzz import TARGETS  # noqa: PLC0415 - only named here; `guide` wants to watch the import

    def tried(name: str) -> bool:
        """Say whether a target came through, and tell."""
        command = [sys.executable, "-m", "tests.fuzz.guided", name, "--seconds", str(seconds)]
        ended = subprocess.run(command, stderr=subprocess.PIPE, text=True, check=False)
        click.echo(f"{name}: {ended.stderr if ended.returncode else ended.stderr.strip().splitlines()[-1]}")
        return ended.returncode == 0

    tries = names or tuple(TARGETS)
    with ThreadPoolExecutor(max_workers=os.cpu_count()) as runner:
        failed = [name for name, came_through in zip(tries, runner.map(tried, tries), strict=True) if not came_through]
    sys.exit(f"faults in: {', '.join(failed)}" if failed else 0)


def guide(name: str, *, seconds: int) -> None:
    """Try one target, and end the program."""
    import atheris  # noqa: PLC0415 - on request, no dependency

    with atheris.instrument_imports(include=["otherseat"]):
        from tests.fuzz.test_fuzz import TARGETS, samples  # noqa: PLC0415 - watched while it is imported

    target, documented = TARGETS[name]

    def once(data: bytes) -> None:
        with contextlib.suppress(documented):
            target(data)

    folder = Path(tempfile.mkdtemp(prefix="fuzz-"))
    for number, sample in enumerate(samples(name)):
        (folder / str(number)).write_bytes(sample)
    atheris.Setup([sys.argv[0], f"-max_total_time={seconds}", f"-artifact_prefix={folder}/", str(folder)], once)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
