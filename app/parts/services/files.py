"""Drawings and set-up sheets at an operation. The same bytes are stored once, whoever uploads them."""

import hashlib
import unicodedata
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts import queries
from app.parts.models import OperationFile, StoredFile, StoredPage
from app.parts.services.pictures import Document, read_document
from app.shared.database import transaction


@dataclass(frozen=True, slots=True)
class Upload:
    """A file as it was sent; an empty ``title`` means its name."""

    name: str
    data: bytes
    title: str = ""


def add_file(session: orm.Session, operation_id: int, upload: Upload, *, now: datetime) -> OperationFile:
    """Show a file at an operation, after the others.

    Raises:
        StoredFileNotFoundError: there is no such operation.
        EarlierVersionError: its routing has a newer version.
        FileRefusedError: one of its kinds: what is wrong with the file.
    """
    name = _plain_name(upload.name)
    sha256 = hashlib.sha256(upload.data).hexdigest()
    known = _stored(session, sha256)
    # Drawn before the transaction begins: a long PDF must not keep others from writing.
    document = read_document(upload.data, name) if known is None else None
    with transaction(session):
        files = queries.files_to_change(session, operation_id)
        file = _stored(session, sha256) or _store(session, sha256, name, upload.data, document, now)
        shown = OperationFile(
            routing_operation_id=operation_id,
            file=file,
            title=upload.title or name,
            position=max((each.position for each in files), default=-1) + 1,
        )
        session.add(shown)
    return shown


def keep_file(session: orm.Session, upload: Upload, *, now: datetime) -> StoredFile:
    """Keep a file that hangs at no operation, such as a certificate; inside a use case.

    Raises:
        FileRefusedError: one of its kinds: what is wrong with the file.
    """
    name = _plain_name(upload.name)
    sha256 = hashlib.sha256(upload.data).hexdigest()
    known = _stored(session, sha256)
    return known or _store(session, sha256, name, upload.data, read_document(upload.data, name), now)


def rename_file(session: orm.Session, operation_file_id: int, title: str) -> OperationFile:
    """Give a file another title at its operation.

    Raises:
        StoredFileNotFoundError: it has been removed.
        EarlierVersionError: its routing has a newer version.
    """
    with transaction(session):
        shown = queries.get_operation_file(session, operation_file_id)
        queries.files_to_change(session, shown.routing_operation_id)
        shown.title = title
    return shown


def move_file(session: orm.Session, operation_file_id: int, *, up: bool) -> OperationFile:
    """Show a file before the one above it, or after the one below it; the first and the last stay.

    Raises:
        StoredFileNotFoundError: it has been removed.
        EarlierVersionError: its routing has a newer version.
    """
    with transaction(session):
        shown = queries.get_operation_file(session, operation_file_id)
        files = queries.files_to_change(session, shown.routing_operation_id)
        at = files.index(shown)
        to = max(0, at - 1) if up else min(len(files) - 1, at + 1)
        files.insert(to, files.pop(at))
        for position, each in enumerate(files):
            each.position = position
    return shown


def remove_file(session: orm.Session, operation_file_id: int) -> int:
    """Show a file no longer at its operation, whose key is returned; the stored file stays for other versions.

    Raises:
        StoredFileNotFoundError: it has been removed already.
        EarlierVersionError: its routing has a newer version.
    """
    with transaction(session):
        shown = queries.get_operation_file(session, operation_file_id)
        operation_id = shown.routing_operation_id
        queries.files_to_change(session, operation_id)
        session.delete(shown)
    return operation_id


def _stored(session: orm.Session, sha256: str) -> StoredFile | None:
    return session.scalars(sa.select(StoredFile).where(StoredFile.sha256 == sha256)).one_or_none()


def _store(
    session: orm.Session, sha256: str, name: str, data: bytes, document: Document | None, now: datetime
) -> StoredFile:
    drawn = document or read_document(data, name)
    file = StoredFile(sha256=sha256, name=name, media_type=drawn.media_type, data=data, stored_at=now)
    file.pages = [
        StoredPage(number=number, width=page.width, height=page.height, png=page.png)
        for number, page in enumerate(drawn.pages, start=1)
    ]
    session.add(file)
    return file


def _plain_name(name: str) -> str:
    """Return a file's name without folders and without characters that are not seen."""
    last = name.replace("\\", "/").rsplit("/", maxsplit=1)[-1]
    seen = "".join(each for each in unicodedata.normalize("NFC", last) if each.isprintable()).strip()
    return seen[-120:] or "file"
