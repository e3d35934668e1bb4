"""Settings: the packaged defaults with the user's own file over them, validated before any socket opens.

A user's TOML file holds only what is different. Tables are laid over the packaged ones key by key; a list (such as
[[source]]) replaces the packaged list. An unknown key is an error that names the file and the nearest valid key.
"""

import importlib.resources
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from otherseat.advisories.attention import AttentionSettings
from otherseat.advisories.state import OWN
from otherseat.config.toml_files import read_toml, to_model

PACKAGED = importlib.resources.files("otherseat.config")


class Table(BaseModel):
    """Frozen, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class SourceSettings(Table):
    """One stream of datagrams."""

    adapter: str = "layout"
    address: str = "127.0.0.1"
    port: int = Field(default=47800, ge=0, le=65535)
    """0 lets the system choose."""
    allow: tuple[str, ...] = ()
    """Peers whose datagrams are read; empty for every peer that can reach the address."""
    layout: str | None = None
    """For the layout adapter: the name of a packaged layout, or the path of a file."""
    aircraft: str = Field(default=OWN, min_length=1, max_length=64, pattern=r"^[^\p{C}]+$")
    """What to call the aircraft where the datagrams do not say; two sources with two aircraft need two names."""
    options: Mapping[str, str | float | bool] = Field(default_factory=dict)
    """Whatever else the adapter takes."""
    stale_s: float = Field(default=2.0, ge=0.2, le=60)
    """A field that has not come for so long is not told."""
    also_send_to: tuple[str, ...] = ()
    """Other programs to hand every datagram on to, such as "127.0.0.1:50123"."""
    multicast: str | None = None
    """A group to join; the address then is 0.0.0.0 or ::."""
    interface: str = ""
    """On which interface to join: its address (IPv4) or name (IPv6); left out, the system chooses."""
    largest_bytes: int = Field(default=65_507, ge=1, le=65_535)
    """Longer datagrams are refused."""
    most_per_s: int | None = Field(default=None, ge=1)
    """More than so many in one second are refused."""


class BusSettings(Table):
    """Where the feed and the desk stand."""

    name: str = Field(default="seat", min_length=1, max_length=40)
    """This daemon among others on an instructor's board."""

    feed: str = "tcp://127.0.0.1:47801"
    desk: str = "tcp://127.0.0.1:47802"
    keys: Path | None = None
    """The folder of keys, without which feed and desk stay on this machine."""
    pictures_per_s: float = Field(default=10.0, gt=0, le=100)


class VoiceSettings(Table):
    """Who speaks, and how."""

    engine: str | None = None
    """A voice's name; left out, the default one when it is installed."""
    words_per_minute: int = Field(default=175, ge=80, le=400)
    volume: float = Field(default=1.0, ge=0, le=1)
    ear: Literal["both", "left", "right"] = "both"
    device: str = ""
    """The start of a device's name, as `otherseat voice devices` lists them; left out, the default one."""
    digits: Literal["plain", "icao"] = "plain"
    teach: bool = False
    """Give the pilot's rule of thumb and its result with the calls that have one."""
    phrases: Path | None = None
    """A file of your own phrases, laid over the packaged ones."""


class WatchdogSettings(Table):
    """When silence is news."""

    silence_s: float = Field(default=2.0, ge=0.5, le=60)


class AirfieldSettings(Table):
    """Which airfields are known."""

    files: tuple[Path, ...] = ()
    """TOML files of your own."""
    world: bool = True
    """Know the world's runways; without them only those in TOML files."""


class AircraftSettings(Table):
    """What is flown when the plan does not say."""

    profile: str = "light-single"


class RecorderSettings(Table):
    """Whether and where flights are recorded."""

    on: bool = True
    folder: Path | None = None
    """None for the user's own folder."""
    pilot: str | None = Field(default=None, max_length=60)
    """Who flies: stands in the recording, for the debrief of many flights."""
    keep_mib: int = Field(default=2_048, ge=10)
    """The oldest recordings go when the folder holds more."""


class HookSettings(Table):
    """A command of your own for when nobody answers."""

    command: tuple[str, ...] = ()
    """Program and arguments; run without a shell."""
    alerts: tuple[str, ...] = ("destination-passed",)
    level: Literal["caution", "warning"] = "warning"
    """Run at this level and above, once per escalation, while nobody has acknowledged."""
    time_limit_s: float = Field(default=30.0, gt=0, le=600)


class Settings(Table):
    """Everything that can be set."""

    source: tuple[SourceSettings, ...] = Field(min_length=1)
    bus: BusSettings = BusSettings()
    voice: VoiceSettings = VoiceSettings()
    watchdog: WatchdogSettings = WatchdogSettings()
    airfields: AirfieldSettings = AirfieldSettings()
    aircraft: AircraftSettings = AircraftSettings()
    recorder: RecorderSettings = RecorderSettings()
    hook: HookSettings = HookSettings()
    attention: AttentionSettings = AttentionSettings()
    advisories: Mapping[str, Mapping[str, float | bool | str]] = Field(default_factory=dict)
    """Thresholds by advisory; each advisory checks its own."""


def read_settings(path: Path | None = None, *, over: Mapping[str, Any] | None = None) -> Settings:
    """Return the settings of a file (or the packaged ones) with `over` laid on top, or raise ConfigError."""
    tables = _packaged("default.toml")
    tables["attention"] = _packaged("attention.toml")
    if path is not None:
        tables = laid_over(tables, read_toml(path=path))
    tables = laid_over(tables, over or {})
    return to_model(file=str(path or "settings"), tables=tables, model=Settings)


def laid_over(below: Mapping[str, Any], above: Mapping[str, Any]) -> dict[str, Any]:
    """Return one tree of tables laid over another, key by key; whatever is no table replaces."""
    merged = dict(below)
    for key, value in above.items():
        under = merged.get(key)
        both_tables = isinstance(value, Mapping) and isinstance(under, Mapping)
        merged[key] = laid_over(under, value) if both_tables and isinstance(under, Mapping) else value
    return merged


def _packaged(name: str) -> dict[str, Any]:
    return tomllib.loads((PACKAGED / name).read_text(encoding="utf-8"))
