"""A plan in one line, and changes to it: the grammar, and errors that point at the word.

plan       route clause*          a new plan
           clause+                a change of the plan that there is
route      [place] ">" place ...  or one place: the destination alone; a leading ">" for no departure
place      IDENT | IDENT/RUNWAY   an airfield; a runway at the first and last only
           NAME                   a fix that is known; a radio aid, the nearest of that ident to the place before
           NAME@LAT,LON           a fix given by its place, in degrees, north and east positive
           place "at" FEET        to be crossed at that altitude; not for the first and last
clause     alt FEET               cruise altitude              also FL95
           app KNOTS              approach speed
           cruise KNOTS           cruise true airspeed
           path DEGREES           path angle
           min FEET               not below it before the approach
           da FEET                decision altitude
           hold PLACE inbound DEGREES [right|left] [for MINUTES]      magnetic, as on the chart
           aircraft NAME          a profile
           runway RUNWAY          another runway at the destination
           direct NAME            the route begins there
           drop WORD              take a clause back: drop hold, drop route
           weather REPORT         the rest of the line

Example    ZZKN/13 > FIX1 > ZZPS/27L alt 7500 app 70 hold ZZPS inbound 210 right
A number may carry its unit (7500ft, 70 kt, 3.5 deg). Words of the grammar in any case, names in capitals.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from otherseat.advisories.plan import Fix, Plan
from otherseat.advisories.runway import Place, RunwayTable, UnknownPlaceError
from otherseat.config.plan_words import Measure, PlanLineError, Token, Words
from otherseat.config.profiles import profile_names
from otherseat.config.toml_files import describe, nearest
from otherseat.config.weather import ReportError, read_report

MAX_LETTERS = 2_000
FIX_PLACE = re.compile(r"([A-Z0-9]{1,12})@([^,]*),(.*)")


MEASURES: Mapping[str, Measure] = {
    "alt": Measure("cruise_altitude_ft", "ft", "feet", "alt 7500"),
    "app": Measure("approach_speed_kt", "kt", "knots", "app 70"),
    "cruise": Measure("cruise_speed_kt", "kt", "knots", "cruise 110"),
    "path": Measure("path_angle_deg", "deg", "degrees", "path 3.5"),
    "min": Measure("minimum_altitude_ft", "ft", "feet", "min 3500"),
    "da": Measure("decision_altitude_ft", "ft", "feet", "da 420"),
}
INBOUND = Measure("inbound", "deg", "degrees", "inbound 210")
LEG = Measure("leg", "min", "minutes", "for 1.5")
CROSSING = Measure("at", "ft", "feet", "at 3000")

DROPS = {name: measure.key for name, measure in MEASURES.items()} | {
    "hold": "hold",
    "route": "route",
    "aircraft": "aircraft",
    "weather": "weather",
}


def parse_plan(line: str, *, runways: RunwayTable, plan: Plan | None = None) -> Plan:
    """Return the plan that a line gives: a new one, or `plan` changed; raise PlanLineError.

    Every airfield, runway, fix and profile that it names was found; the weather can be read.
    """
    return _Reader(line=line, runways=runways, plan=plan).read()


def write_plan(plan: Plan) -> str:
    """Return a line that parse_plan reads back as this plan."""
    words: list[str] = []
    if plan.departure is not None or plan.route or plan.destination is not None:
        middle = [_written_fix(fix) for fix in plan.route]
        words.append(_route_text(departure=plan.departure, middle=middle, destination=plan.destination))
    for name, measure in MEASURES.items():
        value = getattr(plan, measure.key)
        if value is not None:
            words.append(f"{name} {value:.10g}")
    if plan.hold is not None:
        hold = plan.hold
        leg = f" for {hold.leg_min:.10g}" if hold.leg_min is not None else ""
        words.append(f"hold {hold.at} inbound {hold.inbound_magnetic_deg:.10g} {hold.turns}{leg}")
    if plan.aircraft is not None:
        words.append(f"aircraft {plan.aircraft}")
    if plan.weather is not None:
        words.append(f"weather {plan.weather}")
    return " ".join(words)


def _written_fix(fix: Fix) -> str:
    crossing = "" if fix.altitude_ft is None else f" at {fix.altitude_ft:.10g}"
    return f"{fix.name}@{fix.latitude_deg:.9g},{fix.longitude_deg:.9g}{crossing}"


def _route_text(*, departure: str | None, middle: list[str], destination: str | None) -> str:
    if departure is None and not middle:
        return str(destination)
    return " > ".join([departure or "", *middle, destination or ""]).strip()


class _Reader:
    """One line being read."""

    def __init__(self, *, line: str, runways: RunwayTable, plan: Plan | None) -> None:
        self._words = Words(line)
        self._runways = runways
        self._old = plan
        self._values: dict[str, Any] = {} if plan is None else {key: getattr(plan, key) for key in Plan.model_fields}
        self._where: dict[str, Token] = {}
        """Where each clause begins."""
        self._values_at: dict[str, Token] = {}
        """Where each clause's number stands."""

    def read(self) -> Plan:
        """Read it all."""
        if len(self._words.line) > MAX_LETTERS:
            raise self._words.error(f"a plan has at most {MAX_LETTERS} letters, this has {len(self._words.line)}", None)
        if not self._words.tokens:
            raise self._words.error("a plan needs at least a destination, such as ZZPS/27L", None)
        if self._words.tokens[0].word.lower() not in CLAUSES:
            self._values = {}
            self._route()
        elif self._old is None:
            raise self._words.error(
                "there is no plan to change yet: begin with a destination, such as ZZPS/27L", self._words.next()
            )
        while self._words.at < len(self._words.tokens):
            self._clause()
        return self._checked()

    def _checked(self) -> Plan:
        try:
            return Plan.model_validate(self._values)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            key = str(first["loc"][0])
            word = self._where[key].word.lower() if key in self._where else key
            raise self._words.error(f"{word} {describe(first)}", self._values_at.get(key)) from error

    # The route.

    def _route(self) -> None:
        places: list[Token | None] = []
        crossings: dict[int, float] = {}
        expected = True
        while self._words.at < len(self._words.tokens):
            token = self._words.tokens[self._words.at]
            if token.word == ">":
                if expected and places:
                    raise self._words.error("a place is missing between two >", token)
                places += [None] if expected else []
                expected = True
                self._words.at += 1
            elif token.word.lower() in CLAUSES:
                break
            elif token.word.lower() == "at" and not expected:
                self._words.at += 1
                crossings[len(places) - 1] = self._words.number(CROSSING, after=token)
            elif not expected:
                raise self._not_a_place(token, before=places[-1])
            else:
                places.append(self._words.next())
                expected = False
        if expected:
            raise self._words.error("a place is missing after >", self._words.tokens[self._words.at - 1])
        self._fill_route(places, crossings)

    def _not_a_place(self, token: Token, *, before: Token | None) -> PlanLineError:
        """Return the error of two words without a > between: either may be a misspelt word of the grammar."""
        for word in (before, token):
            if word is None:
                continue
            meant, small = nearest(word.word.lower(), list(CLAUSES)), word.word != word.word.upper()
            known = "@" in word.word or self._is_place(word.word)
            if ("did you mean" in meant and (small or not known)) or (small and not known):
                if word is before and "did you mean" not in meant:
                    return self._words.error(f"{word.word} is no airfield, no fix and no word of a plan{meant}", word)
                return self._words.error(f"I don't know {word.word}{meant}", word)
        return self._words.error(f"put > between two places, before {token.word}", token)

    def _is_place(self, word: str) -> bool:
        near = self._values.get("destination")
        try:
            self._runways.place(
                word.partition("/")[0].partition("@")[0].upper(),
                near=None if near is None else self._runways.airfield(near.partition("/")[0]).place,
            )
        except UnknownPlaceError:
            return False
        return True

    def _fill_route(self, places: list[Token | None], crossings: Mapping[int, float]) -> None:
        last = len(places) - 1
        for index, token in enumerate(places):
            if token is None:
                continue
            if index in crossings and index in {0, last}:
                raise self._words.error("an altitude to cross at is for places on the way", token)
            if index == last:
                self._values["destination"] = self._airfield(token)
            elif index == 0:
                self._values["departure"] = self._airfield(token)
        route: list[Fix] = []
        for index, token in enumerate(places):
            if token is not None and 0 < index < last:
                route.append(self._fix(token, altitude_ft=crossings.get(index), before=route))
        self._values["route"] = tuple(route)

    def _airfield(self, token: Token) -> str:
        """Return the name of an airfield or a runway end, found."""
        ident, slash, runway = token.word.upper().partition("/")
        if "@" in ident:
            raise self._words.error("a plan begins and ends at airfields; a place in degrees is for the way", token)
        try:
            airfield = self._runways.airfield(ident)
        except UnknownPlaceError as error:
            raise self._words.error(
                f"no airfield is called {ident}{_hint(error)}", token._replace(word=ident)
            ) from error
        if slash:
            self._check_runway(runway, ident=airfield.ident, token=token, start=token.start + len(ident) + 1)
        return f"{ident}/{runway}" if slash else ident

    def _check_runway(self, runway: str, *, ident: str, token: Token, start: int) -> None:
        names = sorted(end.runway for end in self._runways.airfield(ident).ends)
        if not runway:
            raise self._words.error(f"a runway is missing after {ident}/; it has {', '.join(names)}", token)
        if runway not in names:
            word = Token(token.word[start - token.start :], start)
            raise self._words.error(f"{ident} has no runway {runway}; it has {', '.join(names)}", word)

    def _fix(self, token: Token, *, altitude_ft: float | None, before: Sequence[Fix]) -> Fix:
        word = token.word.upper()
        if "@" in word:
            return self._placed_fix(token, altitude_ft=altitude_ft)
        if "/" in word:
            raise self._words.error("a runway belongs to the first and the last place only", token)
        try:
            place = self._runways.place(word, near=self._near(before))
        except UnknownPlaceError as error:
            told = f"no fix or airfield is called {word}{_hint(error)}"
            problem = f"{told}{' Or' if error.nearest else ';'} give its place, as {word[:12]}@48.10,-4.25"
            raise self._words.error(problem, token) from error
        return Fix(
            name=place.name, latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg, altitude_ft=altitude_ft
        )

    def _near(self, before: Sequence[Fix]) -> Place:
        """Return the place before, else the departure, else the destination: of two radio aids the nearer is meant."""
        if before:
            return Place(before[-1].name, before[-1].latitude_deg, before[-1].longitude_deg)
        name = self._values.get("departure") or self._values["destination"]
        return self._runways.airfield(name.partition("/")[0]).place

    def _placed_fix(self, token: Token, *, altitude_ft: float | None) -> Fix:
        found = FIX_PLACE.fullmatch(token.word.upper())
        try:
            name, latitude, longitude = found.groups() if found else ("", "", "")
            latitude_deg, longitude_deg = float(latitude), float(longitude)
        except ValueError as error:
            raise self._words.error(
                "a place is NAME@LATITUDE,LONGITUDE in degrees, such as FIX1@48.10,-4.25", token
            ) from error
        if not (-90.0 <= latitude_deg <= 90.0 and -180.0 <= longitude_deg <= 180.0):  # noqa: PLR2004 - the globe
            raise self._words.error("a latitude is from -90 to 90 and a longitude from -180 to 180", token)
        return Fix(name=name, latitude_deg=latitude_deg, longitude_deg=longitude_deg, altitude_ft=altitude_ft)

    # The clauses.

    def _clause(self) -> None:
        token = self._words.next()
        word = token.word.lower()
        read = CLAUSES.get(word)
        if read is None:
            raise self._words.error(f"I don't know {token.word}{nearest(word, list(CLAUSES))}", token)
        key = MEASURES[word].key if word in MEASURES else word
        if key in self._where and word != "drop":
            raise self._words.error(f"{word} is given twice", token)
        self._where[key] = token
        read(self, token)

    def measure(self, token: Token) -> None:
        """Read a clause that is one number."""
        measure = MEASURES[token.word.lower()]
        self._values[measure.key] = self._words.number(measure, after=token)
        self._values_at[measure.key] = self._words.number_at

    def hold(self, token: Token) -> None:
        """Read where, on which course and how to hold."""
        at = self._words.need(f"hold needs a place, such as {HOLD_EXAMPLE}", after=token)
        name = at.word.upper()
        if name not in self._route_names() and not self._is_place(name):
            raise self._words.error(f"no fix or airfield is called {name}: hold at one of the route or a known one", at)
        inbound = self._words.need(f"hold needs its inbound course, such as {HOLD_EXAMPLE}", after=at)
        if inbound.word.lower() != "inbound":
            raise self._words.error(f"hold needs the word inbound here, such as {HOLD_EXAMPLE}", inbound)
        course_deg = self._words.number(INBOUND, after=inbound)
        self._values_at["hold"] = self._words.number_at
        hold: dict[str, Any] = {"at": name, "inbound_magnetic_deg": course_deg}
        if self._words.peek() in {"right", "left"}:
            hold["turns"] = self._words.next().word.lower()
        if self._words.peek() == "for":
            hold["leg_min"] = self._words.number(LEG, after=self._words.next())
        self._values["hold"] = hold

    def aircraft(self, token: Token) -> None:
        """Read the name of a profile."""
        name = self._words.need("aircraft needs the name of a profile, such as aircraft light-single", after=token)
        names = profile_names()
        if name.word.lower() not in names:
            raise self._words.error(
                f"no aircraft profile is called {name.word}{nearest(name.word.lower(), names)}", name
            )
        self._values["aircraft"] = name.word.lower()

    def runway(self, token: Token) -> None:
        """Read another runway for the destination."""
        name = self._words.need("runway needs its designator, such as runway 27R", after=token)
        destination = self._values.get("destination")
        if destination is None:
            raise self._words.error("there is no destination whose runway could be changed", token)
        ident = destination.partition("/")[0]
        self._check_runway(name.word.upper(), ident=ident, token=name, start=name.start)
        self._values["destination"] = f"{ident}/{name.word.upper()}"

    def direct(self, token: Token) -> None:
        """Read where on the route to begin."""
        name = self._words.need("direct needs a fix of the route, such as direct FIX2", after=token)
        names = self._route_names()
        if name.word.upper() not in names:
            has = f"the route has {', '.join(names)}" if names else "the route has no fixes"
            raise self._words.error(f"{name.word.upper()} is not on the route; {has}", name)
        self._values["route"] = self._values["route"][names.index(name.word.upper()) :]

    def _route_names(self) -> list[str]:
        return [fix.name for fix in self._values.get("route", ())]

    def drop(self, token: Token) -> None:
        """Read what to take back."""
        name = self._words.need("drop needs what to drop, such as drop hold", after=token)
        word = name.word.lower()
        if word not in DROPS:
            raise self._words.error(f"{name.word} can't be dropped{nearest(word, list(DROPS))}", name)
        self._values.pop(DROPS[word], None)

    def weather(self, token: Token) -> None:
        """Read a report: the rest of the line."""
        start = token.end + 1
        text = self._words.line[start:].strip("\"' ")
        self._words.at = len(self._words.tokens)
        if not text:
            raise self._words.error(
                "weather needs a report, such as weather METAR ZZPS 121755Z 21016KT 9999 Q1013", token
            )
        try:
            read_report(text)
        except ReportError as error:
            raise self._words.error(str(error), Token(self._words.line[start:], start)) from error
        self._values["weather"] = text


HOLD_EXAMPLE = "hold ZZPS inbound 210 right"

CLAUSES: Mapping[str, Callable[[_Reader, Token], None]] = {
    **dict.fromkeys(MEASURES, _Reader.measure),
    "hold": _Reader.hold,
    "aircraft": _Reader.aircraft,
    "runway": _Reader.runway,
    "direct": _Reader.direct,
    "drop": _Reader.drop,
    "weather": _Reader.weather,
}


def _hint(error: UnknownPlaceError) -> str:
    return f"; did you mean {' or '.join(error.nearest)}?" if error.nearest else ""
