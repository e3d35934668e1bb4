"""Plans in TOML: the keys of Plan, with each fix of the route in a table of its own; or one line in its place.

line = "ZZKN/13 > ZZPS/27L alt 7500 app 70"         instead of everything below

departure = "ZZKN/13"
destination = "ZZPS/27L"
cruise_altitude_ft = 7500
approach_speed_kt = 70
aircraft = "light-single"
weather = "METAR ZZPS 121755Z 21016KT 9999 Q1013"

[[route]]
name = "FIX1"
latitude_deg = -6.1
longitude_deg = -9.4

[hold]
at = "ZZPS"
inbound_magnetic_deg = 210
turns = "right"
"""

from pathlib import Path

from otherseat.advisories.plan import Plan, PlanError, ResolvedPlan, resolve
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.weather_report import Weather
from otherseat.config.errors import ConfigError
from otherseat.config.plan_line import parse_plan
from otherseat.config.plan_words import PlanLineError
from otherseat.config.profiles import USUAL_PROFILE, read_profile
from otherseat.config.toml_files import read_toml, to_model
from otherseat.config.weather import ReportError, read_report


def read_plan_or_line(path: Path) -> Plan | str:
    """Return the plan in a TOML file, or the line in its place, not yet read; or raise ConfigError."""
    tables = read_toml(path=path)
    if "line" not in tables:
        return to_model(file=str(path), tables=tables, model=Plan)
    if len(tables) > 1:
        other = next(key for key in tables if key != "line")
        raise ConfigError(file=str(path), key=other, problem="a file with a line has nothing else")
    if not isinstance(tables["line"], str):
        raise ConfigError(file=str(path), key="line", problem="must be a plan in quotes")
    return tables["line"]


def read_plan(path: Path, *, runways: RunwayTable | None = None) -> Plan:
    """Return the plan in a TOML file of either form, or raise ConfigError. A line's places are looked up."""
    given = read_plan_or_line(path)
    if isinstance(given, Plan):
        return given
    try:
        return parse_plan(given, runways=runways or RunwayTable())
    except PlanLineError as error:
        raise ConfigError(file=str(path), key="line", problem=str(error)) from error


def resolve_plan(*, plan: Plan, runways: RunwayTable, profile: str = USUAL_PROFILE) -> ResolvedPlan:
    """Look up everything that a plan names: places, profile, weather; or raise PlanError.

    profile is the aircraft's when the plan names none.
    """
    try:
        found = read_profile(plan.aircraft or profile)
    except ConfigError as error:
        raise PlanError(key="aircraft", message=error.problem) from error
    return resolve(plan=plan, runways=runways, weather=_weather(plan), profile=found)


def _weather(plan: Plan) -> Weather | None:
    if plan.weather is None:
        return None
    try:
        return read_report(plan.weather)
    except ReportError as error:
        raise PlanError(key="weather", message=str(error)) from error
