"""API pages by an opaque cursor."""

from __future__ import annotations

from rest_framework.pagination import CursorPagination


class TimePagination(CursorPagination):
    """Pages by an opaque cursor, newest first; at most 100 a page."""

    ordering = "-id"
    page_size_query_param = "page_size"
    max_page_size = 100
