"""Keys: who may listen and who may give orders, once the bus is open to other machines.

Pairs      ZeroMQ CURVE (Curve25519), in pyzmq's own certificate files: NAME.key is public, NAME.key_secret is not
Daemon     needs the pair `daemon` in its folder of keys, and allowed.toml beside it
Allowed    a table for each client: its public key and its role, reader (listens, asks) or operator (gives orders)
Files      a secret that others on the machine can read is refused where the system knows owners (mode 0600)
"""

import os
import stat
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import zmq
import zmq.auth
from pydantic import BaseModel, ConfigDict, StringConstraints, TypeAdapter, ValidationError

from otherseat.daemon.messages import summary
from otherseat.daemon.sockets import EndpointError

DAEMON = "daemon"
ALLOWED = "allowed.toml"
HOW = (
    "make them with `otherseat keys make daemon`, let clients in with `otherseat keys add`, and name the folder as "
    "`keys` under [bus] in the settings"
)


class KeysError(EndpointError):
    """Keys that can't be used, or are not there; the message names the file."""


class Role(StrEnum):
    """What a client may do."""

    READER = "reader"
    OPERATOR = "operator"


PublicKey = Annotated[str, StringConstraints(pattern=r"^[0-9a-zA-Z.\-:+=^!/*?&<>()\[\]{}@%$#]{40}$")]
"""A public key as ZeroMQ writes it: 40 characters of Z85."""
ClientName = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_-]{1,40}$")]
NAME = TypeAdapter(ClientName)


class Client(BaseModel):
    """One client that is let in."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    key: PublicKey
    role: Role = Role.READER


CLIENTS = TypeAdapter(dict[ClientName, Client])


@dataclass(frozen=True, slots=True)
class Pair:
    """A key pair, as ZeroMQ wants it."""

    public: bytes
    secret: bytes


def make_pair(folder: Path, name: str) -> Pair:
    """Make a pair and write both files, or raise KeysError when there is one of that name."""
    _check(name)
    for file in (folder / f"{name}.key", folder / f"{name}.key_secret"):
        if file.exists():
            raise KeysError(f"{file}: is there already; whoever uses it would be locked out by a new one")
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    # The secret is never readable by others, not even for a moment.
    before = os.umask(0o077)
    try:
        _, secret = zmq.auth.create_certificates(folder, name)
    finally:
        os.umask(before)
    return read_pair(Path(secret))


def read_pair(file: Path) -> Pair:
    """Read a secret key file, or raise KeysError that names it and says how to mend it."""
    if not file.is_file():
        raise KeysError(f"{file}: no such key; {HOW}")
    if os.name == "posix" and stat.S_IMODE(file.stat().st_mode) & 0o077:
        raise KeysError(f"{file}: others can read this secret; close it with: chmod 600 {file}")
    try:
        public, secret = zmq.auth.load_certificate(file)
    except (OSError, ValueError) as error:
        raise KeysError(f"{file}: can't be read: {error}") from error
    if secret is None:
        raise KeysError(f"{file}: holds no secret; the secret is in the file that ends in .key_secret")
    return Pair(public=public, secret=secret)


def read_public(text: str) -> bytes:
    """Return a public key that is given as it is, or as the file that holds it; or raise KeysError."""
    if Path(text).is_file():
        try:
            return zmq.auth.load_certificate(text)[0]
        except (OSError, ValueError) as error:
            raise KeysError(f"{text}: can't be read: {error}") from error
    try:
        return TypeAdapter(PublicKey).validate_python(text).encode()
    except ValidationError as error:
        raise KeysError(f"{text}: is neither a key of 40 characters nor a file") from error


class AllowList:
    """The clients that are let in. The file may change while the daemon runs: it is looked at again and again."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._stamp: tuple[int, int] | None = None
        self._roles: Mapping[str, Role] = {}
        self._withdrawn = False
        self._look()

    def role_of(self, public: str) -> Role | None:
        """Return a key's role; None when it is not let in."""
        self._look()
        return self._roles.get(public)

    def withdrawn(self) -> bool:
        """Say once whether a key has been taken off the list since this was asked last."""
        self._look()
        withdrawn, self._withdrawn = self._withdrawn, False
        return withdrawn

    def _look(self) -> None:
        stamp = _stamp_of(self._file)
        if stamp == self._stamp:
            return
        try:
            clients = read_clients(self._file)
        except KeysError:
            if self._stamp is None:
                raise
            # A list that can't be read lets nobody in: an editor may have saved half of it.
            clients = {}
        roles = {client.key: client.role for client in clients.values()}
        self._withdrawn = self._withdrawn or bool(self._roles.keys() - roles.keys())
        self._stamp, self._roles = stamp, roles


def _stamp_of(file: Path) -> tuple[int, int]:
    try:
        status = file.stat()
    except OSError:
        return (0, 0)
    return status.st_mtime_ns, status.st_size


def read_clients(file: Path) -> dict[str, Client]:
    """Read the list of clients, an empty one when there is no file, or raise KeysError."""
    if not file.is_file():
        return {}
    try:
        return CLIENTS.validate_python(tomllib.loads(file.read_text(encoding="utf-8")))
    except (OSError, ValueError) as error:
        why = summary(error) if isinstance(error, ValidationError) else str(error)
        raise KeysError(f"{file}: {why}") from error


def write_clients(file: Path, clients: Mapping[str, Client]) -> None:
    """Write the list of clients in one step, so that nobody reads half of it."""
    tables = [f'[{name}]\nkey = "{one.key}"\nrole = "{one.role.value}"\n' for name, one in sorted(clients.items())]
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    beside = file.with_suffix(".new")
    beside.write_text("\n".join(tables), encoding="utf-8", newline="\n")
    beside.replace(file)


def add_client(folder: Path, *, name: str, key: str, role: Role) -> None:
    """Let a client in, or change its key or role."""
    _check(name)
    client = Client(key=read_public(key).decode(), role=role)
    write_clients(folder / ALLOWED, {**read_clients(folder / ALLOWED), name: client})


def remove_client(folder: Path, *, name: str) -> None:
    """Let a client in no longer, or raise KeysError."""
    clients = read_clients(folder / ALLOWED)
    if name not in clients:
        raise KeysError(f"{folder / ALLOWED}: has no client {name}; there are {', '.join(sorted(clients)) or 'none'}")
    write_clients(folder / ALLOWED, {other: client for other, client in clients.items() if other != name})


def _check(name: str) -> None:
    try:
        NAME.validate_python(name)
    except ValidationError as error:
        raise KeysError(f"{name}: a name is 1 to 40 letters, digits, - and _") from error
