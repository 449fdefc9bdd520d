"""What the audit and the processes that check say to each other, and how it goes through a pipe. Knows no file and no store."""

from __future__ import annotations

import struct
from typing import BinaryIO, Final, Literal, TypeAlias

import msgspec

__all__ = ["Answer", "FoundFault", "Message", "Name", "Ready", "Refusal", "Setup", "Task", "receive", "send"]

_LENGTH = struct.Struct(">Q")


class Setup(msgspec.Struct, frozen=True, tag=True):
    """What a process needs to know before its first file.

    Attributes
    ----------
    root : the folder, archive or URL that is audited; a local one is absolute.
    start : the folder from which a profile is looked for where the files lie in none.
    profile : the profile that counts for all files, absolute; None where each is judged by that of its folder.
    select, ignore : names of rules and groups.
    memory : bytes that checking may take above what the program itself needs; None for no limit.
    """

    root: str
    start: str
    profile: str | None = None
    select: tuple[str, ...] = ()
    ignore: tuple[str, ...] = ()
    memory: int | None = None

    @property
    def memory_told(self) -> str:
        """The limit of memory in words."""
        return "no limit of memory" if self.memory is None else f"{self.memory / 1e6:g} MB"


class Task(msgspec.Struct, frozen=True, tag=True):
    """One file to check. ``known`` is the digest of the content that was last answered for, if that answer still counts.

    ``stamp`` is what the file looked like when it was found; ``page`` asks for its report as a page as well.
    """

    path: str
    stamp: str
    known: str | None = None
    page: bool = False


class Ready(msgspec.Struct, frozen=True, tag=True):
    """The process is set up. ``memory_held`` tells whether it keeps to the limit of memory."""

    memory_held: bool


class Refusal(msgspec.Struct, frozen=True, tag=True):
    """The work cannot go on for any file: the profile, or a file that it names, cannot be used."""

    message: str


class FoundFault(msgspec.Struct, frozen=True, array_like=True):
    """A finding as the store keeps it: what is asked about it, the rest stands in the report."""

    page: int
    rule: str
    level: str
    waived: str | None
    message: str
    hint: str
    bounds_mm: tuple[float, float, float, float] | None
    measured: float | None
    limit: float | None
    unit: str | None
    fingerprint: str


class Name(msgspec.Struct, frozen=True, array_like=True, order=True):
    """A name that a file uses: of a named colour, a layer or a processing step."""

    kind: Literal["spot", "layer", "step"]
    name: str


class Answer(msgspec.Struct, frozen=True, tag=True):
    """What is known of one file now.

    Attributes
    ----------
    path, stamp : of the file as it was asked for; the stamp is empty where the file must be asked for again the next time, whatever
        it looks like then: it changed meanwhile, or what stood in the way lies not in it.
    same : its content is that of the answer before, which still counts; all below is left out then.
    sha256 : digest of the content; None where it could not be read.
    report : the file's report as JSON, packed with zlib.
    pages : how many it has.
    counts : error, warning, note, not checked, waived.
    beside : each further file of its folder that the answer rests on, and its stamp; empty where there is none.
    picture : a small picture of it, as ``(suffix, content)``; None where nothing was found in it, or none can be made.
    by_limit : what the audit allowed it, where that is why there is no answer.
    page : its report in HTML, where the task asks for it.
    """

    path: str
    stamp: str
    same: bool = False
    sha256: str | None = None
    format: str | None = None
    status: Literal["checked", "unreadable"] = "checked"
    reason: str | None = None
    hint: str | None = None
    report: bytes = b""
    pages: int = 0
    counts: tuple[int, int, int, int, int] = (0, 0, 0, 0, 0)
    findings: tuple[FoundFault, ...] = ()
    names: tuple[Name, ...] = ()
    beside: tuple[tuple[str, str], ...] = ()
    picture: tuple[str, bytes] | None = None
    by_limit: str | None = None
    page: bytes = b""


Message: TypeAlias = Setup | Task | Ready | Refusal | Answer

_DECODER: Final = msgspec.msgpack.Decoder(Message)


def send(stream: BinaryIO, message: Message) -> None:
    """Write one message whole.

    Raises
    ------
    OSError
        Nobody listens any more.
    """
    data = msgspec.msgpack.encode(message)
    stream.write(_LENGTH.pack(len(data)) + data)
    stream.flush()


def receive(stream: BinaryIO) -> Message | None:
    """The next message; None where the other side has ended, in the middle of one or not."""
    head = stream.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    (length,) = _LENGTH.unpack(head)
    data = stream.read(length)
    return _DECODER.decode(data) if len(data) == length else None
