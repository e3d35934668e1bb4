"""App: who is let in, over real sockets."""

import http.client
import json
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import ClientConnection, connect

from otherseat.daemon.panel.app import COOKIE, FORM_BYTES
from otherseat.daemon.panel.guard import HEADERS
from otherseat.daemon.panel.orders import ORDER_BYTES
from otherseat.daemon.panel.pairing import TRIES, Role
from tests.daemon.panel.rig import PATIENCE_S, Daemon, Served, daemon, served
from tests.scripted import final

FOREIGN = ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example", ""]
FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture(scope="module")
def source() -> Iterator[Daemon]:
    """Run a daemon with one aircraft on a final."""
    with daemon() as running:
        running.fly(final(end=running.table.end("ZZBB/09L"), distance_nm=4.0, above_path_ft=300.0, seconds=30.0))
        yield running


@pytest.fixture(scope="module")
def panel(source: Daemon, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Run a panel that anyone on this machine may look at, with a page of the user's own."""
    pages = tmp_path_factory.mktemp("pages")
    (pages / "mine.html").write_text("<!doctype html><title>mine</title>", encoding="utf-8")
    (pages.parent / "secret.txt").write_text("secret", encoding="utf-8")
    with served(source, own_pages=pages) as running:
        yield running


@pytest.fixture(scope="module")
def closed(source: Daemon, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Run a panel that only paired browsers may look at, as on a network."""
    with served(source, own_pages=tmp_path_factory.mktemp("pages"), pair_all=True) as running:
        yield running


def ask(
    panel: Served, path: str, *, method: str = "GET", body: str | None = None, headers: dict[str, str] | None = None
) -> http.client.HTTPResponse:
    """Send one request and return its answer, read to the end."""
    connection = http.client.HTTPConnection("127.0.0.1", panel.port, timeout=PATIENCE_S)
    connection.request(method, path, body=body, headers={"Host": f"127.0.0.1:{panel.port}", **(headers or {})})
    answer = connection.getresponse()
    answer.body = answer.read()  # type: ignore[attr-defined]  # kept beside the answer
    connection.close()
    return answer


def listen(panel: Served, *, origin: str | None = "own", token: str | None = None) -> ClientConnection:
    """Open the page's WebSocket."""
    headers = {} if token is None else {"Cookie": f"{COOKIE}={token}"}
    own = panel.home if origin == "own" else origin
    return connect(
        f"ws://127.0.0.1:{panel.port}/feed", origin=own, additional_headers=headers, open_timeout=PATIENCE_S, proxy=None
    )


def paired(panel: Served, role: Role) -> str:
    """Pair as a browser does, and return the cookie's token."""
    answer = ask(
        panel,
        "/pair",
        method="POST",
        body=f"code={quote(panel.pairing.code(role))}",
        headers={"Origin": panel.home, **FORM},
    )
    assert 303 == answer.status
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    return str(cookie.partition("=")[2].partition(";")[0])


def part(socket: ClientConnection, name: str) -> Any:
    """Return the next value of one part."""
    kept: dict[str, Any] = socket.__dict__.setdefault("kept", {})
    while not kept.get(name):
        kept.update(json.loads(socket.recv(timeout=PATIENCE_S)))
    return kept.pop(name)


@pytest.mark.parametrize("path", ["/", "/overlay", "/pair", "/page.css", "/main.js", "/nothing", "/own/mine.html"])
def test_every_answer_carries_the_headers(panel: Served, path: str) -> None:
    """The policy against foreign scripts, frames and guesses of type stands on every answer, errors too."""
    answer = ask(panel, path)

    assert dict(HEADERS) == {name: answer.headers[name] for name in HEADERS}


@pytest.mark.parametrize("host", FOREIGN)
def test_a_foreign_host_is_refused(panel: Served, host: str) -> None:
    """A name that is not the panel's own gets nothing: somebody points his name at this machine."""
    answer = ask(panel, "/", headers={"Host": host})

    assert 400 == answer.status
    assert b"Otherseat" not in answer.body  # type: ignore[attr-defined]  # see ask


@pytest.mark.parametrize("origin", ["http://evil.example", "https://127.0.0.1", "null", None])
def test_a_forged_origin_cannot_listen(panel: Served, origin: str | None) -> None:
    """Another page's script, or one that hides where it comes from, can't open the WebSocket."""
    with pytest.raises(InvalidStatus) as refused:
        listen(panel, origin=origin)

    assert 403 == refused.value.response.status_code


@pytest.mark.parametrize("origin", ["http://evil.example", None])
def test_a_forged_origin_cannot_pair(closed: Served, origin: str | None) -> None:
    """Another page can't spend a code, even the right one."""
    headers = FORM if origin is None else {**FORM, "Origin": origin}
    code = closed.pairing.code(Role.OPERATOR)
    answer = ask(closed, "/pair", method="POST", body=f"code={code}", headers=headers)

    assert 403 == answer.status
    assert code == closed.pairing.code(Role.OPERATOR)


@pytest.mark.parametrize("path", ["/", "/overlay", "/own/"])
def test_a_stranger_is_sent_to_pair(closed: Served, path: str) -> None:
    """Who is not paired sees no page but the one to pair on."""
    answer = ask(closed, path)

    assert (303, "/pair") == (answer.status, answer.headers["location"])


@pytest.mark.parametrize("token", [None, "x", "A" * 43])
def test_a_stranger_hears_nothing(closed: Served, token: str | None) -> None:
    """Who is not paired can't open the WebSocket, with the right Host and Origin."""
    with pytest.raises(InvalidStatus) as refused:
        listen(closed, token=token)

    assert 403 == refused.value.response.status_code


def test_a_paired_viewer_looks(closed: Served) -> None:
    """A browser that was paired to look gets the page and its numbers."""
    token = paired(closed, Role.VIEWER)

    assert 200 == ask(closed, "/", headers={"Cookie": f"{COOKIE}={token}"}).status
    with listen(closed, token=token) as socket:
        assert "viewer" == part(socket, "role")


def test_wrong_codes_are_told_and_then_stopped(source: Daemon) -> None:
    """A wrong code is refused in words; after too many even the right one is."""
    with served(source) as panel:
        headers = {"Origin": panel.home, **FORM}
        answers = [ask(panel, "/pair", method="POST", body="code=AAAAAAAA", headers=headers) for _ in range(TRIES)]
        last = ask(panel, "/pair", method="POST", body=f"code={panel.pairing.code(Role.VIEWER)}", headers=headers)

    assert {403} == {answer.status for answer in answers}
    assert b"That code is not open" in answers[0].body  # type: ignore[attr-defined]  # see ask
    assert 403 == last.status
    assert b"Wait a minute" in last.body  # type: ignore[attr-defined]  # see ask


@pytest.mark.parametrize("body", ["", "code", "x=1", "code=" + "A" * FORM_BYTES, "code=%ff%00"])
def test_nonsense_instead_of_a_code_is_refused(source: Daemon, body: str) -> None:
    """Whatever is posted, the answer is no and not a fault."""
    with served(source) as panel:
        answer = ask(panel, "/pair", method="POST", body=body, headers={"Origin": panel.home, **FORM})

    assert 403 == answer.status


@pytest.mark.parametrize("path", ["/own/../secret.txt", "/own/..%2fsecret.txt", "/../pyproject.toml", "/%2e%2e/app.py"])
def test_nothing_outside_is_served(panel: Served, path: str) -> None:
    """No path leads out of the page's files and the user's directory."""
    answer = ask(panel, path)

    assert 404 == answer.status
    assert b"secret" not in answer.body  # type: ignore[attr-defined]  # see ask


def test_a_file_that_is_known_is_not_sent_again(panel: Served) -> None:
    """A browser that names the tag of what it has gets 304."""
    tag = ask(panel, "/page.css").headers["etag"]

    assert 304 == ask(panel, "/page.css", headers={"If-None-Match": tag}).status


def test_numbers_arrive(panel: Served) -> None:
    """A page gets the picture, the runways around it and what stands."""
    with listen(panel) as socket:
        now, sheet, alerts = (part(socket, name) for name in ("now", "sheet", "alerts"))

    assert "ZZBB/09L" == now["runway"]
    assert {"ZZBB/09L", "ZZBB/09R", "ZZBB/27L", "ZZBB/27R"} <= {end["name"] for end in sheet["ends"]}
    assert ["glidepath-high.1"] == [alert["id"] for alert in alerts]


def test_an_order_that_is_too_long_ends_the_page(panel: Served) -> None:
    """A page that sends more than an order can hold is closed, and the panel goes on."""
    with listen(panel) as socket:
        socket.send("x" * (ORDER_BYTES + 1))
        with pytest.raises(ConnectionClosed):
            part(socket, "what is never sent")
    with listen(panel) as socket:
        assert "own" == part(socket, "now")["aircraft"]
