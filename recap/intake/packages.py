"""Workbook files are archives of XML: what is inside is measured before anything is opened in earnest."""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from types import MappingProxyType

from recap.problems import UnreadableFile

LARGEST_FILE = 100_000_000
LARGEST_CONTENT = 100_000_000
"""Bytes of XML, unpacked; a workbook of 100,000 rows and twelve columns has about 60 MB."""
MOST_MEMBERS = 5_000

_LOCAL_HEADER = 30


@dataclass(frozen=True, slots=True)
class Package:
    """The unpacked XML parts of a workbook file by name, and the names of everything in it, all in small letters."""

    path: Path
    names: frozenset[str]
    parts: Mapping[str, bytes]

    @property
    def is_ods(self) -> bool:
        """Whether it is an OpenDocument spreadsheet."""
        return "content.xml" in self.parts


def open_package(path: Path) -> Package:
    """Unpack a workbook's XML within bounds; raises UnreadableFile for damage, passwords and bombs."""
    if path.stat().st_size > LARGEST_FILE:
        raise UnreadableFile(f"{path}: larger than {LARGEST_FILE // 1_000_000} MB, which no inspection needs")
    data = path.read_bytes()
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, struct.error, OSError):
        raise UnreadableFile(f"{path}: the file is cut short or damaged; copy it again from where it came") from None
    names = frozenset(map(_name, members))
    _check_kind(path, names, len(members))
    if len(names) < len(members):
        raise UnreadableFile(f"{path}: two files inside have the same name; save it again from its program")
    wanted = [member for member in members if _name(member).endswith((".xml", ".rels"))]
    if any(member.flag_bits & 1 for member in members):
        raise UnreadableFile(f"{path}: the workbook is protected by a password; save it without one")
    if sum(member.file_size for member in wanted) > LARGEST_CONTENT:
        raise UnreadableFile(f"{path}: {_too_much()}")
    parts = {_name(member): _unpack(path, data, member) for member in wanted}
    if b"encryption-data" in parts.get("meta-inf/manifest.xml", b""):
        raise UnreadableFile(f"{path}: the workbook is protected by a password; save it without one")
    for name, part in parts.items():
        _check_xml(path, name, part)
    return Package(path, names, MappingProxyType(parts))


def _name(member: zipfile.ZipInfo) -> str:
    """Return a member's name as readers compare it."""
    return member.filename.replace("\\", "/").lower()


def _check_kind(path: Path, names: frozenset[str], count: int) -> None:
    if count > MOST_MEMBERS:
        raise UnreadableFile(f"{path}: {count:,} files inside; no workbook has so many")
    if "xl/workbook.bin" in names:
        raise UnreadableFile(f"{path}: the binary .xlsb format is not read; save it as .xlsx")
    if "xl/workbook.xml" not in names and "content.xml" not in names:
        what = "a text document" if any(name.startswith("word/") for name in names) else "an archive"
        raise UnreadableFile(f"{path}: this is {what}, not a workbook")


def _unpack(path: Path, data: bytes, member: zipfile.ZipInfo) -> bytes:
    """Return a member's bytes; a member that unpacks to more than it declares is refused, not unpacked."""
    start = member.header_offset
    try:
        name_length, extra_length = struct.unpack_from("<HH", data, start + 26)
    except struct.error:
        raise UnreadableFile(f"{path}: the file is damaged at {member.filename}") from None
    start += _LOCAL_HEADER + name_length + extra_length
    packed = data[start : start + member.compress_size]
    if member.compress_type == zipfile.ZIP_STORED:
        content, complete = packed, len(packed) == member.file_size
    elif member.compress_type == zipfile.ZIP_DEFLATED:
        inflater = zlib.decompressobj(-zlib.MAX_WBITS)
        try:
            content = inflater.decompress(packed, member.file_size + 1)
        except zlib.error:
            raise UnreadableFile(f"{path}: the file is damaged at {member.filename}") from None
        if len(content) > member.file_size:
            raise UnreadableFile(f"{path}: {_too_much()}")
        complete = inflater.eof or not member.file_size
    else:
        raise UnreadableFile(f"{path}: packed in a way that workbooks are not; save it again")
    if not complete or zlib.crc32(content) != member.CRC:
        raise UnreadableFile(f"{path}: the file is damaged at {member.filename}")
    return content


def _check_xml(path: Path, name: str, part: bytes) -> None:
    if b"<!ENTITY" in part or b"<!DOCTYPE" in part:
        raise UnreadableFile(f"{path}: {name} declares entities, which no spreadsheet program writes; it is not opened")
    if part[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in part[:200]:
        raise UnreadableFile(f"{path}: {name} is in an encoding that workbooks do not use")


def _too_much() -> str:
    return f"it unpacks to more than {LARGEST_CONTENT // 1_000_000} MB, which no inspection needs; it is not opened"
