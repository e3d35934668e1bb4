"""Sight: from states to pictures. Remembers what needs a memory (phase, nearest point, wind) and nothing else.

A State goes in; out come a Picture (numbers and names, published) and a Reference (the places they are about).
"""

import math
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from otherseat.advisories import airdata, geodesic
from otherseat.advisories.angles import difference_deg, normal_deg
from otherseat.advisories.arrival import Approach, Motion, approach_to, wind_components_kt
from otherseat.advisories.descent import USUAL_PATH_DEG, descent
from otherseat.advisories.destination_progress import DestinationProgress
from otherseat.advisories.phase import ON_THE_GROUND, PhaseTracker, Whereabouts
from otherseat.advisories.picture import Phase, Picture, Reference
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.route import Point, Route
from otherseat.advisories.runway import RunwayEnd, RunwayTable
from otherseat.advisories.state import State
from otherseat.advisories.units import FT_PER_NM
from otherseat.advisories.variation import variation_deg
from otherseat.advisories.which_runway import Surface, Tracked, place_ft, surface_end, tracked_end

AS_TOLD = (
    "latitude_deg",
    "longitude_deg",
    "paused",
    "groundspeed_kt",
    "track_true_deg",
    "vertical_speed_fpm",
)
"""What a picture takes over from its state."""
_READ_AS_TOLD = attrgetter(*AS_TOLD)
TRACKED_WITHIN_NM = 12.0
NEAR_AGAIN_S = 1.0
"""How old the list of near runways may be."""


@dataclass(frozen=True, slots=True)
class Field:
    """The destination as seen now."""

    ident: str
    distance_nm: float
    bearing_deg: float
    elevation_ft: float
    latitude_deg: float
    longitude_deg: float


class Sight:
    """One aircraft's pictures over time."""

    def __init__(self, *, runways: RunwayTable, plan: ResolvedPlan) -> None:
        self._runways = runways
        self._plan = plan
        self._phase = PhaseTracker()
        self._progress = DestinationProgress()
        self._wind = airdata.WindMemory()
        self._near: list[RunwayEnd] = []
        self._near_s = float("-inf")
        self._last_end: RunwayEnd | None = None
        self._route: Route | None = None
        self._route_end: str | None = None

    @property
    def phase(self) -> Phase | None:
        """The latest phase."""
        return self._phase.phase

    def set_plan(self, plan: ResolvedPlan) -> None:
        """Go on with another plan."""
        self._plan = plan
        self._route = None

    def look(self, state: State) -> tuple[Picture, Reference]:
        """Work out the picture of one state."""
        variation = self._variation_deg(state)
        heading = _heading_true_deg(state=state, variation_deg=variation)
        air = self._air(state=state, heading_true_deg=heading)
        altitude_ft = air["altitude_ft"]
        tracked = self._tracked(state=state, altitude_ft=altitude_ft)
        certain = tracked.end if tracked is not None and tracked.certain else None
        arrival, runway_source = self._arrival(certain)
        approach = self._approach(state=state, end=arrival, altitude_ft=altitude_ft)
        field = self._destination(state=state, arrival=arrival)
        phase = self._phase.step(
            state=state,
            groundspeed_kt=state.groundspeed_kt or 0.0,
            sink_fpm=-(state.vertical_speed_fpm or 0.0),
            where=self._whereabouts(state=state, approach=approach, field=field, altitude_ft=altitude_ft),
        )
        surface = self._surface(state=state, phase=phase, heading_true_deg=heading)
        picture = Picture(
            time_s=state.time_s,
            aircraft=state.aircraft,
            phase=phase,
            **dict(zip(AS_TOLD, _READ_AS_TOLD(state), strict=True)),
            on_ground=self._phase.on_ground,
            heading_true_deg=heading,
            magnetic_variation_deg=variation,
            **air,
            runway=None if arrival is None else arrival.name,
            runway_source=runway_source,
            **_named(approach),
            **_components(end=arrival, air=air),
            tracked_runway=None if certain is None else certain.name,
            tracked_distance_nm=None if certain is None else _distance_nm(state=state, end=certain),
            surface_runway=None if surface.end is None else surface.end.name,
            runway_ahead_ft=surface.runway_ahead_ft,
            **self._way(state=state, field=field, air=air),
        )
        return picture, self._reference(arrival=arrival, tracked=certain, surface=surface.end)

    def _reference(
        self, *, arrival: RunwayEnd | None, tracked: RunwayEnd | None, surface: RunwayEnd | None
    ) -> Reference:
        return Reference(
            runways=self._runways,
            plan=self._plan,
            departure_end=self._plan.departure,
            arrival_end=arrival,
            tracked_end=tracked,
            surface_end=surface,
            weather=self._plan.weather,
            profile=self._plan.profile,
        )

    def _air(self, *, state: State, heading_true_deg: float | None) -> dict[str, Any]:
        """Return altitude, airspeeds and wind, each with its source."""
        altitude_ft, altitude_source = airdata.altitude_ft(state, station_elevation_ft=self._station_elevation_ft())
        indicated_airspeed_kt, indicated_source = airdata.indicated_airspeed_kt(state)
        true_airspeed_kt, airspeed_source = airdata.true_airspeed_kt(state)
        wind_from_deg, wind_kt, wind_source = self._wind.step(
            state=state,
            true_airspeed_kt=true_airspeed_kt,
            airspeed_source=airspeed_source,
            heading_true_deg=heading_true_deg,
        )
        return {
            "altitude_ft": altitude_ft,
            "altitude_source": altitude_source,
            "indicated_airspeed_kt": indicated_airspeed_kt,
            "indicated_airspeed_source": indicated_source,
            "true_airspeed_kt": true_airspeed_kt,
            "true_airspeed_source": airspeed_source,
            "wind_from_true_deg": wind_from_deg,
            "wind_speed_kt": wind_kt,
            "wind_source": wind_source,
        }

    def _station_elevation_ft(self) -> float | None:
        """Return the elevation of the airfield whose setting the altimeter is taken to have: the arrival's."""
        place = self._plan.arrival or self._plan.destination or self._last_end
        return None if place is None else place.elevation_ft

    def _way(self, *, state: State, field: Field | None, air: dict[str, Any]) -> dict[str, Any]:
        """Return the way to the destination, and whether it is behind."""
        if field is None or state.latitude_deg is None or state.longitude_deg is None:
            return {}
        past_nm, closing_kt = self._passing(state=state, field=field)
        way = self._route_to(field).step(
            latitude_deg=state.latitude_deg, longitude_deg=state.longitude_deg, track_true_deg=state.track_true_deg
        )
        return {
            "destination": field.ident,
            "distance_to_destination_nm": field.distance_nm,
            "bearing_to_destination_deg": field.bearing_deg,
            "closing_speed_kt": closing_kt,
            "past_destination_nm": past_nm,
            "next_point": way.next_point,
            "distance_to_next_point_nm": way.distance_nm,
            "bearing_to_next_point_deg": way.bearing_deg,
            "last_fix": way.last_fix,
            "past_fix_nm": way.past_nm,
            "distance_to_go_nm": way.to_go_nm,
            **descent(
                altitude_ft=air["altitude_ft"],
                elevation_ft=field.elevation_ft,
                to_go_nm=way.to_go_nm,
                angle_deg=self._plan.plan.path_angle_deg or USUAL_PATH_DEG,
                speed_to_lose_kt=self._speed_to_lose_kt(air["indicated_airspeed_kt"]),
            ),
        }

    def _route_to(self, field: Field) -> Route:
        """Return the progress along the plan's route, begun anew when the destination changes."""
        if self._route is None or self._route_end != field.ident:
            self._route_end = field.ident
            end = Point(name=field.ident, latitude_deg=field.latitude_deg, longitude_deg=field.longitude_deg)
            self._route = Route(fixes=self._plan.plan.route, destination=end)
        return self._route

    def _speed_to_lose_kt(self, indicated_kt: float | None) -> float:
        approach_kt = self._plan.plan.approach_speed_kt
        if approach_kt is None and self._plan.profile is not None:
            approach_kt = self._plan.profile.approach_speed_kt
        if approach_kt is None or indicated_kt is None:
            return 0.0
        return max(indicated_kt - approach_kt, 0.0)

    def _variation_deg(self, state: State) -> float | None:
        """Return the reported variation, or else that of a runway of plan or track near here, or else the model's."""
        if state.magnetic_variation_deg is not None:
            return state.magnetic_variation_deg
        return variation_deg(
            latitude_deg=state.latitude_deg,
            longitude_deg=state.longitude_deg,
            ends=(self._plan.arrival, self._last_end, self._plan.departure, *self._near[:1]),
        )

    def _tracked(self, *, state: State, altitude_ft: float | None) -> Tracked | None:
        if state.latitude_deg is None or state.longitude_deg is None or state.track_true_deg is None:
            return None
        if self._phase.phase in ON_THE_GROUND:
            return None
        if abs(state.time_s - self._near_s) >= NEAR_AGAIN_S:
            self._near_s = state.time_s
            self._near = self._runways.near(
                latitude_deg=state.latitude_deg, longitude_deg=state.longitude_deg, within_nm=TRACKED_WITHIN_NM
            )
        return tracked_end(
            ends=self._near,
            latitude_deg=state.latitude_deg,
            longitude_deg=state.longitude_deg,
            altitude_ft=altitude_ft,
            track_true_deg=state.track_true_deg,
        )

    def _arrival(self, tracked: RunwayEnd | None) -> tuple[RunwayEnd | None, str | None]:
        """Return the end that the numbers are about: the plan's, else the one tracked to, until another is.

        None where the plan's end lies at an estimate: no path or centreline can be judged against it.
        """
        if self._plan.arrival is not None:
            return (None, None) if self._plan.arrival.estimated else (self._plan.arrival, "plan")
        if tracked is not None and self._is_meant(tracked):
            self._last_end = tracked
        return self._last_end, None if self._last_end is None else "track"

    def _is_meant(self, end: RunwayEnd) -> bool:
        return self._plan.destination is None or end.airfield == self._plan.destination.ident

    def _approach(self, *, state: State, end: RunwayEnd | None, altitude_ft: float | None) -> Approach | None:
        if end is None or state.latitude_deg is None or state.longitude_deg is None:
            return None
        angle_deg = self._plan.plan.path_angle_deg
        return approach_to(
            end=end,
            motion=Motion(
                latitude_deg=state.latitude_deg,
                longitude_deg=state.longitude_deg,
                altitude_ft=altitude_ft,
                groundspeed_kt=state.groundspeed_kt,
                track_true_deg=state.track_true_deg,
            ),
            path_angle_deg=end.path_angle_deg if angle_deg is None else angle_deg,
        )

    def _destination(self, *, state: State, arrival: RunwayEnd | None) -> Field | None:
        if state.latitude_deg is None or state.longitude_deg is None:
            return None
        place = self._plan.destination
        if place is not None:
            ident, elevation_ft = place.ident, place.elevation_ft
            latitude_deg, longitude_deg = place.latitude_deg, place.longitude_deg
        elif arrival is not None:
            ident, elevation_ft = arrival.airfield, arrival.elevation_ft
            latitude_deg, longitude_deg = arrival.latitude_deg, arrival.longitude_deg
        else:
            return None
        distance_nm, bearing_deg = geodesic.quick_distance_nm_and_course_deg(
            from_latitude_deg=state.latitude_deg,
            from_longitude_deg=state.longitude_deg,
            to_latitude_deg=latitude_deg,
            to_longitude_deg=longitude_deg,
        )
        return Field(
            ident=ident,
            distance_nm=distance_nm,
            bearing_deg=bearing_deg,
            elevation_ft=elevation_ft,
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
        )

    def _whereabouts(
        self, *, state: State, approach: Approach | None, field: Field | None, altitude_ft: float | None
    ) -> Whereabouts:
        planned = self._plan.destination is not None
        return Whereabouts(
            distance_to_threshold_nm=None if approach is None else approach.distance_to_threshold_nm,
            offset_nm=None if approach is None else approach.offset_ft / FT_PER_NM,
            course_difference_deg=None if approach is None else approach.course_difference_deg,
            height_above_field_ft=None if field is None or altitude_ft is None else altitude_ft - field.elevation_ft,
            distance_to_field_nm=None if field is None else field.distance_nm,
            nearest_to_field_nm=None if planned or field is None else _nearest_nm(state=state, field=field),
        )

    def _passing(self, *, state: State, field: Field | None) -> tuple[float | None, float | None]:
        """Return how far past the destination the aircraft is, and how fast it closes on it."""
        if field is None:
            return None, None
        progress = self._progress.step(destination=field.ident, distance_nm=field.distance_nm)
        if state.groundspeed_kt is None or state.track_true_deg is None:
            return progress.past_nm, None
        off_deg = difference_deg(state.track_true_deg, field.bearing_deg)
        return progress.past_nm, state.groundspeed_kt * math.cos(math.radians(off_deg))

    def _surface(self, *, state: State, phase: Phase, heading_true_deg: float | None) -> Surface:
        if phase not in ON_THE_GROUND or heading_true_deg is None:
            return Surface()
        if state.latitude_deg is None or state.longitude_deg is None:
            return Surface()
        return surface_end(
            runways=self._runways,
            latitude_deg=state.latitude_deg,
            longitude_deg=state.longitude_deg,
            heading_true_deg=heading_true_deg,
        )


def _nearest_nm(*, state: State, field: Field) -> float | None:
    """Return how near the track leads to the field from here on; None without a track."""
    if state.track_true_deg is None:
        return None
    off = math.radians(difference_deg(state.track_true_deg, field.bearing_deg))
    return field.distance_nm if math.cos(off) <= 0.0 else field.distance_nm * abs(math.sin(off))


def _distance_nm(*, state: State, end: RunwayEnd) -> float | None:
    """Return the distance before the threshold along the centreline."""
    if state.latitude_deg is None or state.longitude_deg is None:
        return None
    along_ft, _ = place_ft(end, latitude_deg=state.latitude_deg, longitude_deg=state.longitude_deg)
    return -along_ft / FT_PER_NM


def _heading_true_deg(*, state: State, variation_deg: float | None) -> float | None:
    if state.heading_true_deg is not None:
        return state.heading_true_deg
    if state.heading_magnetic_deg is not None and variation_deg is not None:
        return normal_deg(state.heading_magnetic_deg + variation_deg)
    return None


def _named(approach: Approach | None) -> dict[str, Any]:
    if approach is None:
        return {}
    return {name: getattr(approach, name) for name in Approach.__slots__}


def _components(*, end: RunwayEnd | None, air: dict[str, Any]) -> dict[str, Any]:
    if end is None:
        return {}
    headwind_kt, crosswind_kt = wind_components_kt(
        end=end, wind_from_true_deg=air["wind_from_true_deg"], wind_speed_kt=air["wind_speed_kt"]
    )
    return {"headwind_kt": headwind_kt, "crosswind_kt": crosswind_kt}
