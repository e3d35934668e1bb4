"""Plans in TOML: the keys of Plan, with each fix of the route in a table of its own.

departure = "ZZKN/13"
destination = "ZZPS/27L"
cruise_altitude_ft = 7500
approach_speed_kt = 70

[[route]]
name = "FIX1"
latitude_deg = 40.1
longitude_deg = -40.2
"""

from pathlib import Path

from otherseat.advisories.plan import Plan
from otherseat.config.toml_files import read_model


def read_plan(path: Path) -> Plan:
    """Return the plan in a TOML file, or raise ConfigError."""
    return read_model(path=path, model=Plan)
