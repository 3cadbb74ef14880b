"""Faces of what stands on legs, of beds and of frames.

Where a part was not measured it takes usual proportions, which are common practice without a source: the way around a
leg, the height of an apron, the slats of a chair.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import pi
from typing import Final

from app.basics.errors import RuleError
from app.recipes.rules.faces import Build, Face, Sides, cm2, inches
from app.recipes.rules.mixing import Number

_PI: Final = Fraction(pi)
_APRON_SHARE: Final = Fraction(7, 8)
_RAIL_THICK: Final = inches(1)
_FRAME_THICK: Final = inches(1)


@dataclass(frozen=True)
class _Usual:
    """Usual parts of something with a top, in mm: how thick that is, the rail below it, the way around a leg."""

    top: Fraction
    apron: Fraction
    leg_around: Fraction


_TABLE: Final = _Usual(inches(1), inches(4), inches(10))
_SIDE_TABLE: Final = _Usual(inches(Fraction(3, 4)), inches(3), inches(6))
_BENCH: Final = _Usual(inches(Fraction(3, 2)), inches(4), inches(10))


def of_table(sides: Sides, build: Build) -> Iterator[Face]:
    """A table: top, its edge, the rail below it and legs; a round one has its width for diameter."""
    yield from _table(sides, build, _TABLE)


def of_side_table(sides: Sides, build: Build) -> Iterator[Face]:
    """A side table: as a table, its parts slighter."""
    yield from _table(sides, build, _SIDE_TABLE)


def _table(sides: Sides, build: Build, usual: _Usual) -> Iterator[Face]:
    yield from _top(sides, build, usual)
    around = _PI * sides.w if build.is_round else 2 * (sides.w + sides.d)
    length = _or(build.apron_length_mm, around * _APRON_SHARE)
    is_guess = build.apron_mm is None or build.apron_length_mm is None
    yield Face("apron", "Rail under the top", cm2(length * _or(build.apron_mm, usual.apron)), is_guess=is_guess)
    yield _legs(build, usual.leg_around, _below_top(sides, build, usual))


def _top(sides: Sides, build: Build, usual: _Usual) -> Iterator[Face]:
    w, thick = sides.w, _or(build.top_mm, usual.top)
    top = _PI * w * w / 4 if build.is_round else w * sides.d
    edge = _PI * w * thick if build.is_round else 2 * (w + sides.d) * thick
    yield Face("top", "Top", cm2(top))
    yield Face("edges", "Edge of the top", cm2(edge), is_guess=build.top_mm is None)
    yield Face("underside", "Underside of the top", cm2(top), is_usual=False)


def _legs(build: Build, usual_around: Fraction, length: Fraction) -> Face:
    around = _or(build.leg_around_mm, usual_around)
    return Face("legs", f"{build.legs} legs", cm2(build.legs * around * length), is_guess=build.leg_around_mm is None)


def _below_top(sides: Sides, build: Build, usual: _Usual) -> Fraction:
    length = sides.h - _or(build.top_mm, usual.top)
    if length <= 0:
        raise RuleError("It is not higher than its own top is thick.", "height_mm")
    return length


def of_desk(sides: Sides, build: Build) -> Iterator[Face]:
    """A desk on pedestals of drawers, each a box of four walls; without pedestals as a table."""
    if not build.pedestals:
        yield from of_table(sides, build)
        return
    yield from _top(sides, replace(build, is_round=False), _TABLE)
    w, d, h = sides.w * Fraction(5, 16), sides.d * Fraction(11, 12), _below_top(sides, build, _TABLE)
    walls = build.pedestals * (2 * d * h + 2 * w * h)
    yield Face("pedestals", f"{build.pedestals} pedestals, four walls each", cm2(walls), is_guess=True)


@dataclass(frozen=True)
class _Seat:
    """A seat and what stands under it, in mm."""

    w: Fraction
    d: Fraction
    high: Fraction
    height: Fraction


_SEAT_HIGH: Final = inches(17)
_POST_LEG: Final = inches(6)


def of_chair(sides: Sides, build: Build) -> Iterator[Face]:
    """A slat-back chair of usual make, in the measures it has."""
    usual = sides.or_usual(inches(18), inches(17), inches(37))
    seat = _Seat(usual.w, usual.d, min(_SEAT_HIGH, usual.h), usual.h)
    yield from _seated(seat, build)
    back = seat.height - seat.high
    if back > 0:
        yield Face("posts", "2 back posts", cm2(2 * _POST_LEG * back), is_guess=True)
        slats = 3 * _between(seat.w) * inches(3) * 2
        yield Face("slats", "3 slats of the back, both faces", cm2(slats), is_guess=True)


def of_stool(sides: Sides, build: Build) -> Iterator[Face]:
    """A stool: a chair without its back."""
    usual = sides.or_usual(inches(14), inches(14), inches(18))
    yield from _seated(_Seat(usual.w, usual.d, usual.h, usual.h), build)


def _seated(seat: _Seat, build: Build) -> Iterator[Face]:
    yield Face("seat", "Seat, both faces", cm2(2 * seat.w * seat.d))
    yield _legs(build, _POST_LEG, seat.high)
    stretchers = 4 * inches(4) * _between(seat.d)
    yield Face("stretchers", "4 stretchers", cm2(stretchers), is_guess=True)
    aprons = 4 * _between(seat.w) * _or(build.apron_mm, inches(Fraction(5, 2))) * 2
    yield Face("apron", "4 rails under the seat, both faces", cm2(aprons), is_guess=True)


def _between(outside: Fraction) -> Fraction:
    """The clear way between two legs an inch in from the outside."""
    return max(outside - inches(2), Fraction(0))


def of_bench(sides: Sides, build: Build) -> Iterator[Face]:
    """A bench: a seat on two end panels, both of whose faces count."""
    yield from _top(sides, replace(build, is_round=False), _BENCH)
    ends = 2 * 2 * sides.d * _below_top(sides, build, _BENCH)
    yield Face("ends", "2 end panels, both faces", cm2(ends))


def of_bed(sides: Sides, build: Build) -> Iterator[Face]:
    """A bed: head, foot and two side rails; the depth is its length."""
    w, long, h = sides.w, sides.d, sides.h
    board = _or(build.top_mm, inches(2))
    foot = _or(build.foot_mm, h * Fraction(5, 12))
    rail = _or(build.rail_mm, inches(8))
    yield Face("head", "Headboard, one face", cm2(w * h))
    yield Face("head_edges", "Edges of the headboard", cm2(2 * (w + h) * board), is_guess=build.top_mm is None)
    yield Face("head_back", "Back of the headboard", cm2(w * h), is_usual=False)
    yield Face("foot", "Footboard, both faces", cm2(2 * w * foot), is_guess=build.foot_mm is None)
    yield Face("foot_edges", "Edges of the footboard", cm2(2 * (w + foot) * board), is_usual=False, is_guess=True)
    yield Face("rails", "2 side rails, outside and top", cm2(2 * long * (rail + _RAIL_THICK)), is_guess=True)


def of_frame(sides: Sides, build: Build) -> Iterator[Face]:
    """The frame of a mirror: its face and its edges; the depth is how thick it is."""
    w, h, thick = sides.w, sides.h, _or(sides.depth_mm, _FRAME_THICK)
    wide = _or(build.frame_mm, min(inches(3), w / 4, h / 4))
    inner_w, inner_h = w - 2 * wide, h - 2 * wide
    if min(inner_w, inner_h) <= 0:
        raise RuleError("Such a wide frame leaves no room for the glass.", "width_mm")
    is_guess = build.frame_mm is None
    yield Face("front", "Face of the frame", cm2(w * h - inner_w * inner_h), is_guess=is_guess)
    yield Face("edges", "Outer edges", cm2(2 * (w + h) * thick), is_guess=sides.depth_mm is None)
    yield Face("inner_edges", "Inner edges", cm2(2 * (inner_w + inner_h) * thick), is_guess=True)
    yield Face("back", "Back of the frame", cm2(w * h - inner_w * inner_h), is_usual=False, is_guess=is_guess)


def _or(measured: Number | None, usual: Fraction) -> Fraction:
    return usual if measured is None else Fraction(measured)
