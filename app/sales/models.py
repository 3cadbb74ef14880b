"""Tables of sales and returns."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, text
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, Cents, UtcDateTime

NOT_STRUCK = text("struck_at IS NULL")


class Sale(Base):
    __tablename__ = "sale"
    __table_args__ = (
        CheckConstraint(
            "price_cents >= 0 AND delivery_charged_cents >= 0 AND delivery_paid_cents >= 0"
            " AND fees_cents >= 0 AND tax_cents >= 0",
            name="no_minus",
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    listing_id: Mapped[int | None] = mapped_column(ForeignKey("listing.id"))
    channel_id: Mapped[int | None] = mapped_column(ForeignKey("channel.id"), index=True)
    sold_on: Mapped[date] = mapped_column(index=True)
    price_cents: Mapped[Cents]
    delivery_charged_cents: Mapped[Cents]
    delivery_paid_cents: Mapped[Cents]
    fees_cents: Mapped[Cents]
    tax_cents: Mapped[Cents]
    buyer_name: Mapped[str] = mapped_column(String(80))
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class SaleReturn(Base):
    """A sale that came back: what was refunded and what was recovered. The cost goes back into stock by date."""

    __tablename__ = "sale_return"
    __table_args__ = (
        CheckConstraint(
            "refund_cents >= 0 AND tax_refunded_cents >= 0 AND fees_back_cents >= 0 AND delivery_back_cents >= 0",
            name="no_minus",
        ),
        Index(
            "uq_sale_return_sale_id_counting",
            "sale_id",
            unique=True,
            sqlite_where=NOT_STRUCK,
            postgresql_where=NOT_STRUCK,
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    sale_id: Mapped[int] = mapped_column(ForeignKey("sale.id"), index=True)
    returned_on: Mapped[date] = mapped_column(index=True)
    refund_cents: Mapped[Cents]
    tax_refunded_cents: Mapped[Cents]
    fees_back_cents: Mapped[Cents]
    delivery_back_cents: Mapped[Cents]
    reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))
