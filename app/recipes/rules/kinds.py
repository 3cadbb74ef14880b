"""What is done to a piece, with what aim and on which part of it."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from app.timelog.rules import Activity


class Task(StrEnum):
    """One sort of work on a piece, in the usual order of the work."""

    TEST = "test"
    CLEAN = "clean"
    STRIP = "strip"
    REPAIR = "repair"
    FILL = "fill"
    SAND = "sand"
    STAIN = "stain"
    SEAL = "seal"
    PRIME = "prime"
    PAINT = "paint"
    WASH = "wash"
    GLAZE = "glaze"
    DISTRESS = "distress"
    CLEAR_COAT = "clear_coat"
    WAX = "wax"
    HARDWARE = "hardware"
    LINE_DRAWERS = "line_drawers"
    PHOTOGRAPH = "photograph"


class Aim(StrEnum):
    """What a step is for, where its task alone does not say."""

    DEGREASE = "degrease"
    REMOVE_WAX = "remove_wax"
    WASH_OFF_POLISH = "wash_off_polish"
    RINSE = "rinse"
    REMOVE_DUST = "remove_dust"
    BLEACH = "bleach"
    LEVEL = "level"
    SCUFF = "scuff"
    BLOCK_STAINS = "block_stains"
    KNOTS = "knots"
    ODOUR = "odour"
    BOND = "bond"
    GRAIN = "grain"
    TAKE_OFF = "take_off"
    FIT = "fit"


class Part(StrEnum):
    """A part of a piece that can have a finish of its own."""

    WHOLE = "whole"
    BODY = "body"
    TOP = "top"
    DRAWERS = "drawers"
    DRAWER_SIDES = "drawer_sides"
    DOORS = "doors"
    SHELVES = "shelves"
    LEGS = "legs"
    SEAT = "seat"
    BACK = "back"
    FRAME = "frame"
    HEADBOARD = "headboard"
    LID = "lid"
    LEFT_HALF = "left_half"
    RIGHT_HALF = "right_half"
    INSIDE = "inside"
    HARDWARE = "hardware"


TASK_WORDS: Mapping[Task, str] = MappingProxyType(
    {
        Task.TEST: "Test for lead",
        Task.CLEAN: "Clean",
        Task.STRIP: "Strip",
        Task.REPAIR: "Repair",
        Task.FILL: "Fill",
        Task.SAND: "Sand",
        Task.STAIN: "Stain",
        Task.SEAL: "Seal",
        Task.PRIME: "Prime",
        Task.PAINT: "Paint",
        Task.WASH: "Wash",
        Task.GLAZE: "Glaze",
        Task.DISTRESS: "Rub through",
        Task.CLEAR_COAT: "Clear coat",
        Task.WAX: "Wax",
        Task.HARDWARE: "Hardware",
        Task.LINE_DRAWERS: "Line drawers",
        Task.PHOTOGRAPH: "Photograph",
    }
)

AIM_WORDS: Mapping[Aim, str] = MappingProxyType(
    {
        Aim.DEGREASE: "degrease",
        Aim.REMOVE_WAX: "take old wax off",
        Aim.WASH_OFF_POLISH: "wash silicone polish off",
        Aim.RINSE: "rinse and neutralise",
        Aim.REMOVE_DUST: "take the dust off",
        Aim.BLEACH: "bleach a stain",
        Aim.LEVEL: "down to sound wood",
        Aim.SCUFF: "scuff for grip",
        Aim.BLOCK_STAINS: "block stains",
        Aim.KNOTS: "spot the knots",
        Aim.ODOUR: "lock a smell in",
        Aim.BOND: "for grip on gloss",
        Aim.GRAIN: "fill the grain",
        Aim.TAKE_OFF: "take off",
        Aim.FIT: "fit",
    }
)

TASK_AIMS: Mapping[Task, tuple[Aim, ...]] = MappingProxyType(
    {
        Task.CLEAN: (
            Aim.DEGREASE,
            Aim.REMOVE_WAX,
            Aim.WASH_OFF_POLISH,
            Aim.RINSE,
            Aim.REMOVE_DUST,
            Aim.BLEACH,
        ),
        Task.FILL: (Aim.GRAIN,),
        Task.SAND: (Aim.LEVEL, Aim.SCUFF),
        Task.SEAL: (Aim.BLOCK_STAINS, Aim.KNOTS, Aim.ODOUR),
        Task.PRIME: (Aim.BLOCK_STAINS, Aim.BOND),
        Task.HARDWARE: (Aim.TAKE_OFF, Aim.FIT),
    }
)
"""The aims a task may have; a task left out has none."""

PART_WORDS: Mapping[Part, str] = MappingProxyType(
    {
        Part.WHOLE: "All of it",
        Part.BODY: "Body",
        Part.TOP: "Top",
        Part.DRAWERS: "Drawer fronts",
        Part.DRAWER_SIDES: "Drawer sides",
        Part.DOORS: "Doors",
        Part.SHELVES: "Shelves",
        Part.LEGS: "Legs",
        Part.SEAT: "Seat",
        Part.BACK: "Back",
        Part.FRAME: "Frame",
        Part.HEADBOARD: "Headboard",
        Part.LID: "Lid",
        Part.LEFT_HALF: "Left half",
        Part.RIGHT_HALF: "Right half",
        Part.INSIDE: "Inside",
        Part.HARDWARE: "Hardware",
    }
)

COATINGS: frozenset[Task] = frozenset(
    {Task.SEAL, Task.PRIME, Task.PAINT, Task.WASH, Task.GLAZE, Task.STAIN, Task.WAX, Task.CLEAR_COAT}
)
"""The tasks that leave a coat which dries."""

FILMS: frozenset[Task] = frozenset({Task.SEAL, Task.PRIME, Task.PAINT, Task.CLEAR_COAT})
"""The coats that close the surface."""

TASK_ACTIVITIES: Mapping[Task, Activity] = MappingProxyType(
    {
        Task.CLEAN: Activity.CLEANING,
        Task.TEST: Activity.CLEANING,
        Task.STRIP: Activity.STRIPPING,
        Task.REPAIR: Activity.REPAIR,
        Task.FILL: Activity.REPAIR,
        Task.SAND: Activity.SANDING,
        Task.HARDWARE: Activity.HARDWARE,
        Task.LINE_DRAWERS: Activity.FINISHING,
        Task.PHOTOGRAPH: Activity.LISTING,
        Task.DISTRESS: Activity.FINISHING,
        **dict.fromkeys(sorted(COATINGS), Activity.FINISHING),
    }
)
"""Under which activity the minutes of a task are written down."""


def parts_meet(one: Part, other: Part) -> bool:
    """Whether work on the one part touches the other: the same part, or one of them is all of it.

    The halves meet every part but each other, for a half cuts through all.
    """
    if one is other or Part.WHOLE in {one, other}:
        return True
    halves = {Part.LEFT_HALF, Part.RIGHT_HALF}
    return bool(halves & {one, other}) and not {one, other} <= halves


_OF_ALL_OF_IT: Final = frozenset({Task.HARDWARE, Task.PHOTOGRAPH})


def reach(task: Task, part: Part) -> Part:
    """The part whose other work a step waits for and holds up: hardware and photographs concern all of the piece."""
    return Part.WHOLE if task in _OF_ALL_OF_IT else part
