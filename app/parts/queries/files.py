"""Files as they are sent to a browser."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.errors import EarlierVersionError, StoredFileNotFoundError
from app.parts.models import OperationFile, RoutingOperation, StoredFile, StoredPage
from app.parts.queries.routings import newest_version


@dataclass(frozen=True, slots=True)
class StoredContent:
    """The bytes of a file or of one of its pages; ``sha256`` is that of the file."""

    sha256: str
    name: str
    media_type: str
    data: bytes


def file_page(session: orm.Session, file_id: int, number: int) -> StoredContent:
    """Return the picture of one page, counted from 1.

    Raises:
        StoredFileNotFoundError: there is no such page.
    """
    found = session.execute(
        sa.select(StoredFile.sha256, StoredFile.name, StoredPage.png)
        .join(StoredPage, StoredPage.file_id == StoredFile.id)
        .where(StoredFile.id == file_id, StoredPage.number == number)
    ).one_or_none()
    if found is None:
        raise StoredFileNotFoundError
    return StoredContent(found.sha256, found.name, "image/png", found.png)


def original_file(session: orm.Session, file_id: int) -> StoredContent:
    """Return a file as it was uploaded.

    Raises:
        StoredFileNotFoundError: there is no such file.
    """
    found = session.execute(
        sa.select(StoredFile.sha256, StoredFile.name, StoredFile.media_type, StoredFile.data).where(
            StoredFile.id == file_id
        )
    ).one_or_none()
    if found is None:
        raise StoredFileNotFoundError
    return StoredContent(found.sha256, found.name, found.media_type, found.data)


def get_operation_file(session: orm.Session, operation_file_id: int) -> OperationFile:
    """Return a file in its place at an operation.

    Raises:
        StoredFileNotFoundError: it has been removed.
    """
    found = session.get(OperationFile, operation_file_id)
    if found is None:
        raise StoredFileNotFoundError
    return found


def files_to_change(session: orm.Session, operation_id: int) -> list[OperationFile]:
    """Return the files of an operation of a newest routing under its lock, in their order, to change them.

    Raises:
        StoredFileNotFoundError: there is no such operation.
        EarlierVersionError: its routing has a newer version.
    """
    operation = session.get(RoutingOperation, operation_id, with_for_update=True, populate_existing=True)
    if operation is None:
        raise StoredFileNotFoundError
    if operation.routing.version != newest_version(session, operation.routing.revision_id):
        raise EarlierVersionError
    return list(operation.files)
