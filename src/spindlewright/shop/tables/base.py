"""Column types and the base of all tables: times are UTC, money is whole cents, JSON is JSONB where there is such."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any, ClassVar

from sqlalchemy import JSON, BigInteger, DateTime, Dialect, MetaData, TypeDecorator
from sqlalchemy.dialects.postgresql import JSONB
from sqlalchemy.orm import DeclarativeBase

JsonValue = JSON(none_as_null=True).with_variant(JSONB(none_as_null=True), "postgresql")


class UTCDateTime(TypeDecorator[datetime]):
    """An aware datetime, stored in UTC and given back in UTC by every database."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a time zone; use datetime.now(UTC)")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Money(TypeDecorator[Decimal]):
    """A sum with two decimals, stored as whole cents: exact in every database."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> int | None:
        return None if value is None else int((value * 100).to_integral_exact())

    def process_result_value(self, value: int | None, dialect: Dialect) -> Decimal | None:
        return None if value is None else Decimal(value) / 100


class Table(DeclarativeBase):
    """Base of all tables; constraints have fixed names so that migrations can speak of them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar[dict[Any, Any]] = {datetime: UTCDateTime, Decimal: Money}


class AddedOnly:
    """Mark of tables whose rows are only ever added: they are never changed and never taken away."""
