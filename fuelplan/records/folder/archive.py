"""A site folder as one zip file, and back: what comes in from elsewhere is bounded and stays in its place."""

from __future__ import annotations

import io
import stat
import struct
import zipfile
import zlib
from pathlib import Path, PurePosixPath

from fuelplan.messages import Own
from fuelplan.records.folder.new_folder import FolderError, folder_files
from fuelplan.records.schema import SITE_FILE

MOST_ENTRIES = 60
MOST_BYTES = 60_000_000  # unpacked, over all files; a century of hourly weather is less
SAME_TIME = (2000, 1, 1, 0, 0, 0)  # the same folder gives the same bytes
CHUNK = 1 << 16
METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # any other may want much memory to unpack
BROKEN = (
    zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, ValueError, OSError, KeyError, OverflowError,
    struct.error,
)  # fmt: skip


def pack(folder: Path) -> bytes:
    """Return the files of a folder as a zip file, in a folder of its name; hidden files are left out."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in folder_files(folder).items():
            entry = zipfile.ZipInfo(f"{folder.name}/{name}", SAME_TIME)
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, content, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def unpack(content: bytes) -> tuple[str, dict[str, bytes]]:
    """Return the name and the files of a site folder in a zip file; nothing is written anywhere.

    Raises
    ------
    FolderError
        Where it is no zip file, is too large once unpacked, leads out of its folder, or holds no site.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            entries = [e for e in archive.infolist() if not e.is_dir() and not _is_hidden(e.filename)]
            _refuse_strange(entries)
            top = _top_folder(entries)
            return top, _read_all(archive, entries, top)
    except FolderError:
        raise
    except BROKEN as error:
        raise FolderError.because("zip.broken", "this is no sound zip file; pack the folder again") from error


def _is_hidden(name: str) -> bool:
    return any(part.startswith((".", "__MACOSX")) and part != ".." for part in PurePosixPath(name).parts)


def _refuse_strange(entries: list[zipfile.ZipInfo]) -> None:
    if len(entries) > MOST_ENTRIES:
        raise FolderError.because(
            "zip.many_files", "the zip file holds {n} files; a site folder has at most {most}",
            n=len(entries), most=MOST_ENTRIES,
        )  # fmt: skip
    for entry in entries:
        path = PurePosixPath(entry.filename)
        if path.is_absolute() or ".." in path.parts or "\\" in entry.filename or ":" in entry.filename:
            raise FolderError.because(
                "zip.leads_out", '"{file}" in the zip file leads out of its folder',
                file=Own(entry.filename[:60]),
            )  # fmt: skip
        if stat.S_IFMT(entry.external_attr >> 16) not in {0, stat.S_IFREG}:
            raise FolderError.because(
                "zip.link", '"{file}" in the zip file is a link or no file; pack it plain',
                file=Own(entry.filename[:60]),
            )  # fmt: skip
        if entry.compress_type not in METHODS:
            raise FolderError.because(
                "zip.packed",
                "the zip file is packed in an unusual way; pack the folder as a plain zip file",
            )
        if entry.flag_bits & 0x1:
            raise FolderError.because(
                "zip.password", "the zip file has a password; pack the folder without one"
            )
    if len({entry.filename for entry in entries}) != len(entries):
        raise FolderError.because("zip.twice", "the zip file holds a file twice; pack the folder again")
    if sum(entry.file_size for entry in entries) > MOST_BYTES:
        raise FolderError.because(
            "zip.too_large", "unpacked the zip file has more than {most} bytes, the most that is read",
            most=MOST_BYTES,
        )  # fmt: skip


def _top_folder(entries: list[zipfile.ZipInfo]) -> str:
    """Return the folder in which site.toml lies, "" for none; it must be the only one."""
    sites = [PurePosixPath(e.filename) for e in entries if PurePosixPath(e.filename).name == SITE_FILE]
    if len(sites) != 1:
        if not sites:
            raise FolderError.because(
                "zip.no_site", "the zip file must hold one {file}; it holds none", file=Own(SITE_FILE)
            )
        raise FolderError.because(
            "zip.many_sites", "the zip file must hold one {file}; it holds {n}",
            file=Own(SITE_FILE), n=len(sites),
        )  # fmt: skip
    if len(sites[0].parts) > 2:
        raise FolderError.because(
            "zip.too_deep", "{file} lies too deep in the zip file; pack its own folder",
            file=Own(SITE_FILE),
        )  # fmt: skip
    return str(sites[0].parent) if len(sites[0].parts) == 2 else ""


def _read_all(archive: zipfile.ZipFile, entries: list[zipfile.ZipInfo], top: str) -> dict[str, bytes]:
    """Return the files of the folder; what an entry says of its size is not believed."""
    found: dict[str, bytes] = {}
    left = MOST_BYTES
    for entry in entries:
        path = PurePosixPath(entry.filename)
        if str(path.parent) != (top or "."):
            continue
        content = bytearray()
        with archive.open(entry) as stream:
            while chunk := stream.read(CHUNK):
                content += chunk
                left -= len(chunk)
                if left < 0:
                    raise FolderError.because(
                        "zip.larger_than_said", "unpacked the zip file has more than {most} bytes",
                        most=MOST_BYTES,
                    )  # fmt: skip
        found[path.name] = bytes(content)
    return found
