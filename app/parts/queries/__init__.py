"""What pages and later areas need to know about parts, their routings and their files."""

from app.parts.queries.files import StoredContent, file_page, files_to_change, get_operation_file, original_file
from app.parts.queries.kinds import all_kinds, get_kind, kinds_in_use
from app.parts.queries.parts import (
    bought_parts,
    current_revision,
    find_parts,
    get_part,
    get_revision,
    newest_versions,
    part_by_number,
    part_page,
    parts_page,
    shop_units,
    used_in,
)
from app.parts.queries.routings import (
    RoutingVersion,
    following_operations,
    get_operation,
    newest_routings,
    newest_version,
    routing_of,
    routing_to_copy,
    routing_version,
    routing_versions,
)

__all__ = [
    "RoutingVersion",
    "StoredContent",
    "all_kinds",
    "bought_parts",
    "current_revision",
    "file_page",
    "files_to_change",
    "find_parts",
    "following_operations",
    "get_kind",
    "get_operation",
    "get_operation_file",
    "get_part",
    "get_revision",
    "kinds_in_use",
    "newest_routings",
    "newest_version",
    "newest_versions",
    "original_file",
    "part_by_number",
    "part_page",
    "parts_page",
    "routing_of",
    "routing_to_copy",
    "routing_version",
    "routing_versions",
    "shop_units",
    "used_in",
]
