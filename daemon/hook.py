"""Hook: runs the pilot's own command when nobody answers.

Once for each alert and level, at the level that the settings name and above, while it is not acknowledged. No shell;
the
command gets its facts in the environment; it is ended when its time is over. The loop never waits for it.
"""

import asyncio
import contextlib
import os
from collections.abc import Mapping

import structlog

from otherseat.advisories.levels import Level
from otherseat.config.settings import HookSettings
from otherseat.daemon.messages import AlertMessage

log = structlog.get_logger(__name__)

PREFIX = "OTHERSEAT_"


class Hook:
    """The command, and what it has been run for."""

    def __init__(self, settings: HookSettings) -> None:
        self._settings = settings
        self._level = Level[settings.level.upper()]
        self._done: set[tuple[str, Level]] = set()
        self._tasks: set[asyncio.Task[None]] = set()

    def look(self, alert: AlertMessage) -> None:
        """Run the command if this change of an alert asks for it."""
        settings = self._settings
        wanted = settings.command and alert.alert in settings.alerts and alert.level >= self._level
        key = (f"{alert.aircraft}.{alert.id}", alert.level)
        if not wanted or alert.acknowledged or alert.change is alert.change.CLEARED or key in self._done:
            return
        self._done.add(key)
        task = asyncio.ensure_future(self._run(facts(alert)))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _run(self, environment: Mapping[str, str]) -> None:
        settings = self._settings
        try:
            process = await asyncio.create_subprocess_exec(
                *settings.command,
                stdin=asyncio.subprocess.DEVNULL,
                stdout=asyncio.subprocess.DEVNULL,
                stderr=asyncio.subprocess.DEVNULL,
                env={**os.environ, **environment},
            )
        except (OSError, NotImplementedError) as error:  # a selector loop on Windows starts no children
            log.error("hook_failed", program=settings.command[0], reason=str(error))  # noqa: TRY400 - one line will do
            return
        try:
            code = await asyncio.wait_for(process.wait(), settings.time_limit_s)
            log.info("hook_ran", program=settings.command[0], exit_code=code)
        except TimeoutError:
            log.warning("hook_ended", program=settings.command[0], time_limit_s=settings.time_limit_s)
        finally:
            with contextlib.suppress(ProcessLookupError):
                process.kill()


def facts(alert: AlertMessage) -> dict[str, str]:
    """Return what the command finds in its environment."""
    return {
        f"{PREFIX}ALERT": alert.alert,
        f"{PREFIX}LEVEL": alert.level.word,
        f"{PREFIX}TEXT": alert.text,
        f"{PREFIX}AIRCRAFT": alert.aircraft,
        f"{PREFIX}TIME_S": f"{alert.time_s:.1f}",
    }
