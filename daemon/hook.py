"""Hook: runs the pilot's own command when nobody answers.

Once for each alert and level, at the level that the settings name and above, while it is not acknowledged. No shell;
the
command gets its facts in the environment; it is ended when its time is over. The loop never waits for it.
"""

import os
import subprocess
import threading
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
        self._running: list[threading.Thread] = []

    def look(self, alert: AlertMessage) -> None:
        """Run the command if this change of an alert asks for it."""
        settings = self._settings
        wanted = settings.command and alert.alert in settings.alerts and alert.level >= self._level
        key = (f"{alert.aircraft}.{alert.id}", alert.level)
        if not wanted or alert.acknowledged or alert.change is alert.change.CLEARED or key in self._done:
            return
        self._done.add(key)
        thread = threading.Thread(target=self._run, args=(facts(alert),), name="hook", daemon=True)
        self._running = [one for one in self._running if one.is_alive()]
        self._running.append(thread)
        thread.start()

    def wait(self, *, seconds: float) -> None:
        """Wait until every command has ended, at most so long for each."""
        for thread in self._running:
            thread.join(seconds)

    def _run(self, environment: Mapping[str, str]) -> None:
        settings = self._settings
        try:
            done = subprocess.run(  # noqa: S603 - the person's own command, as a list, without a shell
                settings.command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                env={**os.environ, **environment},
                timeout=settings.time_limit_s,
                check=False,
            )
            log.info("hook_ran", program=settings.command[0], exit_code=done.returncode)
        except subprocess.TimeoutExpired:
            log.warning("hook_ended", program=settings.command[0], time_limit_s=settings.time_limit_s)
        except OSError as error:
            log.error("hook_failed", program=settings.command[0], reason=str(error))  # noqa: TRY400 - one line will do


def facts(alert: AlertMessage) -> dict[str, str]:
    """Return what the command finds in its environment."""
    return {
        f"{PREFIX}ALERT": alert.alert,
        f"{PREFIX}LEVEL": alert.level.word,
        f"{PREFIX}TEXT": alert.text,
        f"{PREFIX}AIRCRAFT": alert.aircraft,
        f"{PREFIX}TIME_S": f"{alert.time_s:.1f}",
    }
