"""Nearby: asks the desk which runway ends are near an aircraft, so that the page can draw those that no plan names.

Asked when the aircraft is first seen, and again after MOVED_NM. A desk that has no such verb is asked only once per
aircraft: the page then draws the places of the plan alone.
"""

import structlog

from otherseat.daemon.client import AskError, AsyncClient, NoAnswerError
from otherseat.daemon.panel.hub import Hub
from otherseat.daemon.panel.trace import Point, distance_nm

WITHIN_NM = 15.0
MOVED_NM = 4.0

log = structlog.get_logger(__name__)


class Nearby:
    """Keeps the near runway ends of every scene up to date."""

    def __init__(self, *, hub: Hub, client: AsyncClient) -> None:
        self._hub = hub
        self._client = client
        self._asked: dict[str, Point] = {}
        self._useless = False

    async def look(self) -> None:
        """Ask for every scene that has moved on; to be called a few times a second."""
        for aircraft, scene in list(self._hub.scenes.items()):
            here = scene.position
            if here is None or self._useless or not self._is_due(aircraft, here):
                continue
            self._asked[aircraft] = here
            await self._ask(aircraft, here)

    def _is_due(self, aircraft: str, here: Point) -> bool:
        asked = self._asked.get(aircraft)
        return asked is None or distance_nm(asked, here) >= MOVED_NM

    async def _ask(self, aircraft: str, here: Point) -> None:
        try:
            reply = await self._client.ask(
                "runways.near", latitude_deg=here.latitude_deg, longitude_deg=here.longitude_deg, within_nm=WITHIN_NM
            )
        except NoAnswerError:
            self._asked.pop(aircraft, None)
            return
        except AskError as error:
            self._useless = True
            log.info("panel_no_near_runways", reason=str(error))
            return
        scene = self._hub.scenes.get(aircraft)
        if scene is not None:
            self._hub.tell(aircraft, scene.set_near(reply.ends))
