"""Read all that a listing is made from: the piece, what was done to it, what a buyer should know, its photos."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy.orm import Session

from app.desk.rules.pack import PackFacts, WorkSaid, in_pack_order
from app.floor.queries import ListingSheet, WordingRow, cautions_of, harms_of, open_listing, wording_of
from app.photos.queries import PhotoRow, photos_of
from app.pieces.queries import PieceRow, piece_by_tag
from app.pieces.rules import Caution
from app.recipes.queries import FinishSheet, finishes_of, surface_of
from app.recipes.rules import LeadTest, StepState


@dataclass(frozen=True)
class PackSheet:
    """What a listing of a piece is made from; `photos` stand in the order of the pack."""

    piece: PieceRow
    work: tuple[WorkSaid, ...]
    lead_test: LeadTest
    harms: tuple[Caution, ...]
    cautions: tuple[Caution, ...]
    listing: ListingSheet | None
    photos: tuple[PhotoRow, ...]
    wording: WordingRow

    def known(self, price: str) -> PackFacts:
        """What the words are worked out from, with the asking price in words."""
        return PackFacts(
            tag=self.piece.tag,
            facts=self.piece.facts,
            work=self.work,
            lead_test=self.lead_test,
            cautions=tuple(caution.key for caution in self.cautions),
            price=price,
        )


def pack_sheet(session: Session, tag: str) -> PackSheet:
    """What a listing of the piece with that tag is made from; NotFound when there is none."""
    piece = piece_by_tag(session, tag)
    surface = surface_of(session, piece.id).surface
    return PackSheet(
        piece=piece,
        work=_work(finishes_of(session, piece)),
        lead_test=surface.lead_test,
        harms=harms_of(piece),
        cautions=cautions_of(piece, surface),
        listing=open_listing(session, piece.id),
        photos=tuple(in_pack_order(photos_of(session, piece.id))),
        wording=wording_of(session, piece.id),
    )


def _work(finishes: Iterable[FinishSheet]) -> tuple[WorkSaid, ...]:
    """What was really done in the finishes that show, the oldest first; one that was covered since is passed over."""
    shown = [finish for finish in finishes if finish.covered_by_id is None]
    return tuple(
        WorkSaid(step.facts.task, step.part, step.facts.aim, step.known.product)
        for finish in reversed(shown)
        for step in finish.steps
        if step.state is StepState.DONE
    )
