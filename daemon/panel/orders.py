"""Orders: what an operator's page may ask of the desk. Whatever the desk says goes back to the page.

Every order is one of the models below; anything else is refused here and never reaches the desk.
"""

from typing import Annotated, Literal

import structlog
from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from otherseat.advisories.speaking import Verbosity
from otherseat.daemon.client import AskError, AsyncClient
from otherseat.daemon.messages import PlanMessage, summary
from otherseat.daemon.panel.hub import Hub, Viewer
from otherseat.daemon.panel.pairing import Role

ORDER_BYTES = 4_096

log = structlog.get_logger(__name__)


class Order(BaseModel):
    """Base of what a page may send: an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: int = Field(ge=0, lt=2**53)
    """The page's own number; comes back with the reply."""


class ShowOrder(Order):
    """Show another aircraft on this page. Changes nothing, so a viewer may."""

    order: Literal["show"]
    aircraft: str = Field(min_length=1, max_length=64)


class AcknowledgeOrder(Order):
    """Quieten one alert, or all that stand."""

    order: Literal["acknowledge"]
    alert: str | None = Field(default=None, min_length=1, max_length=100)


class MuteOrder(Order):
    """Quieten the voice, or give it back."""

    order: Literal["mute"]
    muted: bool


class RunwayOrder(Order):
    """Plan another runway end, to land on or to leave from."""

    order: Literal["runway"]
    runway: str = Field(pattern=r"^[A-Z0-9-]{2,8}/[0-9]{2}[LRC]?$")
    leaving: bool = False


class WeatherOrder(Order):
    """Hand over a weather report as it was issued."""

    order: Literal["weather"]
    report: str = Field(min_length=1, max_length=300)


class VerbosityOrder(Order):
    """Have more or less said."""

    order: Literal["verbosity"]
    verbosity: Verbosity


AnyOrder = Annotated[
    ShowOrder | AcknowledgeOrder | MuteOrder | RunwayOrder | WeatherOrder | VerbosityOrder,
    Field(discriminator="order"),
]
ORDERS: TypeAdapter[AnyOrder] = TypeAdapter(AnyOrder)


class RefusedOrderError(Exception):
    """The answer is no; the text says why."""


class Orders:
    """Carries the orders of pages to the desk."""

    def __init__(self, *, hub: Hub, client: AsyncClient) -> None:
        self._hub = hub
        self._client = client

    async def take(self, viewer: Viewer, text: str) -> None:
        """Carry out one order, and hand its reply to the page that gave it."""
        number: int | None = None
        try:
            order = read_order(text)
            number = order.id
            done = await self._carry_out(viewer, order)
        except (RefusedOrderError, AskError) as error:
            viewer.answer({"id": number, "ok": False, "text": str(error)})
        else:
            viewer.answer({"id": number, "ok": True, "text": done})

    async def _carry_out(self, viewer: Viewer, order: AnyOrder) -> str:
        if isinstance(order, ShowOrder):
            self._hub.choose(viewer, order.aircraft)
            return f"Showing {order.aircraft}."
        if viewer.role is not Role.OPERATOR:
            raise RefusedOrderError("This page may only look. Pair it as operator first.")
        scene = self._hub.scene_of(viewer)
        if scene is None:
            raise RefusedOrderError("No aircraft is known yet.")
        log.info("panel_order", order=order.order, aircraft=scene.aircraft)
        return await self._ask(order, scene.aircraft)

    async def _ask(self, order: AnyOrder, aircraft: str) -> str:
        if isinstance(order, AcknowledgeOrder):
            reply = await self._client.ask("acknowledge", aircraft=aircraft, id=order.alert)
            return acknowledged_text(len(reply.acknowledged))
        if isinstance(order, MuteOrder):
            await self._client.ask("mute", aircraft=aircraft, muted=order.muted)
            return "The voice is muted." if order.muted else "The voice speaks again."
        if isinstance(order, RunwayOrder):
            return await self._change_runway(order, aircraft)
        if isinstance(order, WeatherOrder):
            await self._client.ask("weather.set", aircraft=aircraft, report=order.report)
            return "Weather taken over."
        if isinstance(order, VerbosityOrder):
            await self._client.ask("tune", aircraft=aircraft, verbosity=order.verbosity.value)
            return f"The voice is {order.verbosity.value}."
        raise RefusedOrderError("This order is not known.")

    async def _change_runway(self, order: RunwayOrder, aircraft: str) -> str:
        before: PlanMessage = await self._client.ask("plan.get", aircraft=aircraft)
        key = "departure" if order.leaving else "destination"
        plan = before.plan.model_copy(update={key: order.runway})
        after: PlanMessage = await self._client.ask("plan.set", aircraft=aircraft, plan=plan)
        return f"Plan: {'leaving from' if order.leaving else 'landing on'} {getattr(after.plan, key)}."


def read_order(text: str) -> AnyOrder:
    """Return an order, or raise RefusedOrderError."""
    if len(text) > ORDER_BYTES:
        raise RefusedOrderError("Too long for an order.")
    try:
        return ORDERS.validate_json(text)
    except ValidationError as error:
        raise RefusedOrderError(f"Not an order: {summary(error)}") from error


def acknowledged_text(count: int) -> str:
    """Return what to tell of an acknowledgement."""
    return {0: "Nothing stood to be acknowledged.", 1: "Acknowledged."}.get(count, f"{count} acknowledged.")
