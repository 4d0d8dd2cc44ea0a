"""Times as the database keeps them."""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime, Dialect, String
from sqlalchemy.types import TypeDecorator


class UtcTime(TypeDecorator[datetime]):
    """An instant: aware in the program, UTC without zone in the database."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """The instant as the database keeps it."""
        del dialect
        return None if value is None else value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """The instant as the program sees it."""
        del dialect
        return None if value is None else value.replace(tzinfo=UTC)


class TakenTime(TypeDecorator[datetime]):
    """When a photo was taken: local time where its zone is unknown, so kept as ISO 8601 text."""

    impl = String(40)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """The time as the database keeps it."""
        del dialect
        return None if value is None else value.isoformat()

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """The time as the program sees it."""
        del dialect
        return None if value is None else datetime.fromisoformat(value)
