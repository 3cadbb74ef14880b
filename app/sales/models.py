"""Tables of sales, returns, refunds in part, deposits, and the places sales tax is for."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, text
from sqlalchemy.orm import Mapped, mapped_column

from app.database.base import Base, Cents, UtcDateTime, Word
from app.sales.rules import DepositEnding, TaxBasis

NOT_STRUCK = text("struck_at IS NULL")


class TaxPlace(Base):
    """A place whose sales tax is collected, and how its tax is rounded."""

    __tablename__ = "tax_place"

    id: Mapped[int] = mapped_column(primary_key=True)
    version: Mapped[int] = mapped_column()
    name: Mapped[str] = mapped_column(String(80), unique=True)
    basis: Mapped[TaxBasis] = mapped_column(Word(TaxBasis))
    is_put_away: Mapped[bool]

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012 - SQLAlchemy reads a plain mapping here


class TaxRate(Base):
    """A place's rate from a day on, in millionths: 8.875 % is 88,750."""

    __tablename__ = "tax_rate"
    __table_args__ = (
        CheckConstraint("rate_ppm BETWEEN 0 AND 1000000", name="rate_in_range"),
        Index(
            "uq_tax_rate_place_id_from_date_counting",
            "place_id",
            "from_date",
            unique=True,
            sqlite_where=NOT_STRUCK,
            postgresql_where=NOT_STRUCK,
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    place_id: Mapped[int] = mapped_column(ForeignKey("tax_place.id"), index=True)
    from_date: Mapped[date]
    rate_ppm: Mapped[int]
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class Sale(Base):
    """A sale. `tax_cents` is what the shop collected and owes; `channel_tax_cents` what the channel collected and pays.

    `untaxed_reason` says why no tax was due, where that needs saying.
    """

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
    tax_place_id: Mapped[int | None] = mapped_column(ForeignKey("tax_place.id"), index=True)
    tax_rate_ppm: Mapped[int | None]
    tax_basis: Mapped[TaxBasis | None] = mapped_column(Word(TaxBasis))
    channel_tax_cents: Mapped[Cents] = mapped_column(default=0, server_default="0")
    untaxed_reason: Mapped[str] = mapped_column(String(200), default="", server_default="")


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


class SaleRefund(Base):
    """Money given back on a sale that stands: the piece stays sold. It counts in its own month."""

    __tablename__ = "sale_refund"
    __table_args__ = (
        CheckConstraint("refund_cents > 0", name="gives_something"),
        CheckConstraint("tax_refunded_cents >= 0 AND fees_back_cents >= 0", name="no_minus"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    sale_id: Mapped[int] = mapped_column(ForeignKey("sale.id"), index=True)
    on_date: Mapped[date] = mapped_column(index=True)
    refund_cents: Mapped[Cents]
    tax_refunded_cents: Mapped[Cents]
    fees_back_cents: Mapped[Cents]
    reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class Deposit(Base):
    """Money taken towards a piece before its sale: owed to the payer until it is applied, refunded or kept."""

    __tablename__ = "deposit"
    __table_args__ = (CheckConstraint("amount_cents > 0", name="amount_positive"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    capture_id: Mapped[str] = mapped_column(String(36), unique=True)
    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), index=True)
    payer: Mapped[str] = mapped_column(String(80))
    on_date: Mapped[date] = mapped_column(index=True)
    amount_cents: Mapped[Cents]
    note: Mapped[str] = mapped_column(String(200))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))


class DepositEnd(Base):
    """What became of a deposit, whole or in part: applied to a sale, refunded, or kept."""

    __tablename__ = "deposit_end"
    __table_args__ = (CheckConstraint("cents > 0", name="cents_positive"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    deposit_id: Mapped[int] = mapped_column(ForeignKey("deposit.id"), index=True)
    how: Mapped[DepositEnding] = mapped_column(Word(DepositEnding))
    on_date: Mapped[date] = mapped_column(index=True)
    cents: Mapped[Cents]
    sale_id: Mapped[int | None] = mapped_column(ForeignKey("sale.id"), index=True)
    reason: Mapped[str] = mapped_column(String(300))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    struck_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    struck_reason: Mapped[str | None] = mapped_column(String(300))
