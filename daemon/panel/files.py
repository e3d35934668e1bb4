"""Files: the page's own files, read once, and a directory of the user's own beside them."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}


@dataclass(frozen=True, slots=True)
class File:
    """One file of the page."""

    content: bytes
    media_type: str
    tag: str

    def answer(self, request: Request, *, status_code: int = 200) -> Response:
        """Return the file, or 304 when the browser has it already."""
        headers = {"ETag": self.tag}
        if status_code == 200 and request.headers.get("if-none-match") == self.tag:  # noqa: PLR2004 - OK
            return Response(status_code=304, headers=headers)
        return Response(self.content, status_code=status_code, media_type=self.media_type, headers=headers)

    def with_message(self, message: str) -> "File":
        """Return the file with a line of text where it has room for one. The text is ours, never a stranger's."""
        content = self.content.replace(b"<!--message-->", message.encode())
        return File(content=content, media_type=self.media_type, tag=tag_of(content))


def tag_of(content: bytes) -> str:
    """Return an entity tag."""
    return f'"{hashlib.sha256(content).hexdigest()[:16]}"'


def page_files() -> Mapping[str, File]:
    """Return every file of the page by its name."""
    found: dict[str, File] = {}
    for entry in (files("otherseat.daemon.panel") / "page").iterdir():
        suffix = entry.name[entry.name.rfind(".") :]
        if suffix in TYPES:
            content = entry.read_bytes()
            found[entry.name] = File(content=content, media_type=TYPES[suffix], tag=tag_of(content))
    return found
